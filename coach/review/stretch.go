package review

import (
	"cmp"
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/coach/measure"
	"steadfoot/detect"
)

// MarkSD is how well a lap key is pressed at the line, in s: about what a person
// manages who looks at it (common practice, no source).
const MarkSD = 0.15

// sameMark is how far apart two times of one mark may be, s: the coach's clock is the
// session's less a difference, so they may not be the same to the bit.
const sameMark = 1e-3

// Stretch is a part of a session between two marks: a lap, or the laps of a rep.
type Stretch struct {
	From, To float64 // s
	Label    string  // the coach's word for the part, or the note of the mark
	Role     string  // of the part, as event.RoleRep; RoleFree without a plan
	Part     int     // its place in the plan, from 1; 0 without one
	Lap      int     // from 1 within the session
	// Distance is what is known of it from marks, m; 0 when nothing is. It is
	// never one that was worked out from a step length.
	Distance float64
}

// around is how far beyond the marks steps are looked at, s: a whole walk need not
// be gone through for each of its laps.
const around = 10.0

// Pass is the stretch as it can be measured, with the steps that were found in
// it. distance in m stands in for one that is not known, unless it is 0.
func (s Stretch) Pass(steps []detect.Step, distance float64) (measure.Pass, error) {
	d := cmp.Or(s.Distance, distance)
	if d == 0 {
		return measure.Pass{}, fmt.Errorf("lap %d: its distance is not known; give --distance or --lane", s.Lap)
	}
	p, err := measure.Between(between(steps, s.From-around, s.To+around), s.From, s.To, d, 0, MarkSD)
	if err != nil {
		return p, fmt.Errorf("lap %d: %w", s.Lap, err)
	}
	return p, nil
}

// Stretches cuts a session at its lap marks: a stretch for each mark, from the
// one before. What lies before the first mark of the session counts only where a
// part with a plan began at the line.
func Stretches(events []event.Event) []Stretch {
	var out []Stretch
	var parts []event.Part
	begin := -1.0 // where the present lap began, s; -1: not at a line
	for _, e := range events {
		switch e := e.(type) {
		case event.Part:
			if parts = append(parts, e); e.N > 0 {
				begin = e.T
			}
		case event.Lap: // told right after its mark
			if n := len(out); n > 0 && math.Abs(out[n-1].To-e.T) < sameMark {
				if out[n-1].From = e.T - e.Time; e.StepLength > 0 { // else its distance is an estimate
					out[n-1].Distance = e.Distance
				}
			}
		case event.Mark:
			switch e.Name {
			case event.MarkLap:
				if begin >= 0 && e.T > begin {
					out = append(out, Stretch{From: begin, To: e.T, Label: e.Note, Lap: len(out) + 1})
				}
				begin = e.T
			case event.MarkPause, event.MarkResume:
				begin = -1 // a lap that was interrupted measures nothing
			}
		}
	}
	for i := range out {
		out[i].belong(parts)
	}
	return out
}

// belong finds the part that holds in the middle of the stretch: where a part ended
// by the coach's estimate, the mark at the line comes a moment before or after.
func (s *Stretch) belong(parts []event.Part) {
	part := event.Part{Role: event.RoleFree}
	for _, p := range parts {
		if p.T <= (s.From+s.To)/2 {
			part = p
		}
	}
	s.Role, s.Part, s.Label = part.Role, part.N, cmp.Or(part.Label, s.Label)
}

// Steps are the steps among events.
func Steps(events []event.Event) []detect.Step {
	var steps []detect.Step
	for _, e := range events {
		if s, ok := e.(event.Step); ok {
			steps = append(steps, s.Step)
		}
	}
	return steps
}
