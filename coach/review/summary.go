// Package review looks back at a stored session: what it comes to in numbers
// ([Analyse]), and how that reads on a terminal ([Print], [List]) or as JSON
// Lines.
//
// It computes from the stored events alone, reads no clock and writes nothing
// but to the writer it is given.
package review

import (
	"math"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// Summary is what a session comes to. What cannot be said is zero or, where
// zero could be a result, nil.
type Summary struct {
	Duration float64 `json:"duration"` // time of the last input event, s
	Walking  float64 `json:"walking"`  // of that, s

	Steps   int `json:"steps"`
	Heard   int `json:"heard"`
	Bridged int `json:"bridged"` // placed by the rhythm, not heard

	CadenceMean   float64 `json:"cadence_mean,omitempty"`   // over the time walked, steps/min
	CadenceMedian float64 `json:"cadence_median,omitempty"` // over the time walked, steps/min

	Band *Band `json:"band,omitempty"` // nil: the session had no target

	Distance float64 `json:"distance,omitempty"` // steps times step length, m; 0: no step length known
	Pace     float64 `json:"pace,omitempty"`     // time walked over distance, s/km

	Unevenness  *float64 `json:"unevenness,omitempty"`  // see unevenness, %
	Variability *float64 `json:"variability,omitempty"` // see variability, %

	Parts []Part `json:"parts,omitempty"` // of a planned session

	Fade []Fading `json:"fade,omitempty"` // where speed went, by scope

	Cues   []Cue   `json:"cues"`
	Laps   []Lap   `json:"laps"`
	Gaps   []Gap   `json:"gaps"`
	Faults []Fault `json:"faults"`
}

// Cue, Mark, Gap and Fault are the events of these names.
type (
	Cue   = event.Cue
	Mark  = event.Mark
	Gap   = event.Gap
	Fault = event.Fault
)

// tick is the longest stretch, in s, that one rhythm event speaks for. They
// come every half second; across a hole nothing is known.
const tick = 1.0

// Analyse computes the summary of the session with header h from its events, in
// the order in which they were stored.
func Analyse(h logbook.Header, events []event.Event) Summary {
	s := Summary{Cues: []Cue{}, Gaps: []Gap{}, Faults: []Fault{}}
	var steps []detect.Step
	var marks []Mark
	for _, e := range events {
		if event.IsInput(e) {
			s.Duration = max(s.Duration, e.At())
		}
		switch e := e.(type) {
		case event.Step:
			steps = append(steps, e.Step)
		case event.Gap:
			s.Gaps = append(s.Gaps, e)
			s.Duration = max(s.Duration, e.T+e.Length)
		case event.Mark:
			if e.Name == event.MarkLap {
				marks = append(marks, e)
			}
		case event.Fault:
			s.Faults = append(s.Faults, e)
		case event.Cue:
			s.Cues = append(s.Cues, e)
		}
	}
	s.count(steps)
	walked := spans(events)
	aims := aimsOf(h, events)
	s.cadence(walked)
	s.Band = bandOf(aims, walked)
	s.Parts = parts(events, aims, walked)
	s.Laps = laps(marks, walked)
	s.distance(events)
	in := intervals(steps, s.Gaps)
	s.Unevenness = unevenness(in)
	s.Variability = variability(in)
	s.Fade = fadings(events)
	return s
}

func (s *Summary) count(steps []detect.Step) {
	s.Steps = len(steps)
	for _, x := range steps {
		if x.Heard {
			s.Heard++
		}
	}
	s.Bridged = s.Steps - s.Heard
}

// span is the stretch one rhythm event speaks for: length s up to T.
type span struct {
	detect.Rhythm
	pace   float64 // s/km
	length float64 // s
}

// middle is the time in the middle of the stretch, s: it lies within one part,
// where the end may be the beginning of the next.
func (w span) middle() float64 { return w.T - w.length/2 }

// spans returns the time walked, in pieces. The detector is sure of a walk, and
// of its end, some seconds late, and tells the first steps and the gap
// afterwards: the first piece reaches back to the first step, and what reaches
// into a gap is cut off. So steps over time walked is the cadence.
func spans(events []event.Event) []span {
	var out []span
	last, walking := 0.0, false
	first := math.Inf(1) // step of the walk that is about to be told
	for _, e := range events {
		switch e := e.(type) {
		case event.Step:
			first = min(first, e.T)
		case event.Gap:
			out, first = until(out, e.T), math.Inf(1)
		case event.Rhythm:
			from := max(last, e.T-tick)
			last = e.T
			if e.State != detect.Walking || !(e.Cadence > 0) {
				walking = false
				if e.State == detect.NotWalking {
					first = math.Inf(1)
				}
				continue
			}
			if !walking { // a step takes the time up to its contact
				from = max(0, min(from, first-60/e.Cadence))
			}
			if walking = true; from < e.T {
				out = append(out, span{e.Rhythm, e.Pace, e.T - from})
			}
		}
	}
	return out
}

// until cuts off what is later than t.
func until(walked []span, t float64) []span {
	for n := len(walked) - 1; n >= 0 && walked[n].T > t; n-- {
		w := &walked[n]
		if w.length -= w.T - t; w.length > 0 {
			w.T = t
			break
		}
		walked = walked[:n]
	}
	return walked
}

// cadence fills in what is weighed by the time walked.
func (s *Summary) cadence(walked []span) {
	sum := 0.0
	cadences := make([]float64, 0, len(walked))
	for _, w := range walked {
		s.Walking += w.length
		sum += w.length * w.Cadence
		cadences = append(cadences, w.Cadence)
	}
	if s.Walking > 0 {
		s.CadenceMean, s.CadenceMedian = sum/s.Walking, coach.Median(cadences)
	}
}

// distance gives every step the length that the rhythm event before it had,
// which pace and cadence tell; the first steps get that of the first one.
func (s *Summary) distance(events []event.Event) {
	length, early := 0.0, 0
	for _, e := range events {
		switch e := e.(type) {
		case event.Step:
			if length == 0 {
				early++
			}
			s.Distance += length
		case event.Rhythm:
			l := coach.LengthOf(e.Pace, e.Cadence)
			if l == 0 {
				break
			}
			if length == 0 {
				s.Distance = float64(early) * l
			}
			length = l
		}
	}
	if s.Distance > 0 {
		s.Pace = s.Walking / s.Distance * 1000
	}
}
