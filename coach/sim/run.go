package sim

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"steadfoot/coach"
	"steadfoot/coach/event"
)

// Coaching is what a walker gets to hear of a coach.
type Coaching struct {
	Settings coach.Settings
	Words    bool // the cues; the beat is as Settings has it
	Nothing  bool // neither: the walker is alone, and only measured
	Keep     bool // the result keeps every event
}

// Result is one session.
type Result struct {
	Walker    Walker
	Low, High float64       // the band, steps/min
	Duration  float64       // s
	Steps     []Step        // all true steps
	Cues      []event.Cue   // that the walker heard
	Lost      int           // times the beat was lost because it was out of reach
	Events    []event.Event // all, as a log would have them, when Coaching.Keep is set
}

// Run takes a walker through a session of so many seconds. It fails when the
// settings are not valid.
func Run(w Walker, c Coaching, duration float64) (*Result, error) {
	settings := c.Settings
	if c.Nothing {
		settings.Beat.On = false
	}
	leader, err := coach.New(settings)
	if err != nil {
		return nil, fmt.Errorf("sim: %w", err)
	}
	l := &loop{Coaching: c, coach: leader, body: newBody(w), ear: newEar(w.Seed)}
	l.out = &Result{Walker: w, Duration: duration}
	l.out.Low, l.out.High = settings.Band()
	l.give(event.Mark{Name: event.MarkStart})
	for l.body.now < duration {
		l.step()
	}
	l.give(event.Mark{T: duration, Name: event.MarkEnd})
	l.out.Lost = l.body.beat.lost
	return l.out, nil
}

// loop closes the circle: feet, ear, coach, and back to the feet.
type loop struct {
	Coaching
	coach   *coach.Coach
	body    *body
	ear     *ear
	out     *Result
	pending []event.Cue  // said, not yet sounding, by time
	pieces  []event.Beat // of the beat so far, by Start
	inputs  []event.Event
	answers []event.Event
}

// step takes the walk from one contact to the next. The walker decides about
// the next step half a step after the last one and knows what has sounded until
// then, nothing later.
func (l *loop) step() {
	b := l.body
	own := b.own(b.now)
	decided := b.now + own/2
	l.ear.step(b.now, b.side)
	l.inputs = l.ear.until(l.inputs[:0], decided)
	for _, e := range l.inputs {
		l.give(e)
	}
	for len(l.pending) > 0 && l.pending[0].T <= decided {
		b.word(l.pending[0])
		l.out.Cues = append(l.out.Cues, l.pending[0])
		l.pending = l.pending[1:]
	}
	s := b.hear(l.nearest(b.now, own/2))
	b.step(s)
	l.out.Steps = append(l.out.Steps, s)
}

// give hands the coach an event and takes its answers.
func (l *loop) give(e event.Event) {
	l.answers = l.coach.Handle(l.answers[:0], e)
	if l.Keep {
		l.out.Events = append(append(l.out.Events, e), l.answers...)
	}
	for _, a := range l.answers {
		switch a := a.(type) {
		case event.Cue:
			if l.Words && !l.Nothing {
				l.pending = append(l.pending, a)
				slices.SortStableFunc(l.pending, func(a, b event.Cue) int { return cmp.Compare(a.T, b.T) })
			}
		case event.Beat:
			l.pieces = append(l.pieces[:l.piece(a.Start)], a)
		}
	}
}

// piece returns how many pieces of the beat start before t.
func (l *loop) piece(t float64) int {
	n := len(l.pieces)
	for n > 0 && l.pieces[n-1].Start >= t {
		n--
	}
	return n
}

// softest is how far below the chosen volume a beat is no longer followed, dB:
// the project's choice.
const softest = -20

// nearest returns the beat nearest to t within so many seconds, when it is loud
// enough to be followed.
func (l *loop) nearest(t, within float64) (beat float64, ok bool) {
	best := math.Inf(1)
	l.coach.Beats().Between(t-within, t+within, func(b coach.Beat) {
		if d := math.Abs(b.T - t); d < best {
			beat, best = b.T, d
		}
	})
	if n := l.piece(beat + 1e-9); n > 0 && l.pieces[n-1].Level < softest {
		return 0, false
	}
	return beat, !math.IsInf(best, 1)
}
