package main

import (
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// guide is the coach of a walker in a group: of what it says only the words about
// the walker's own rhythm are passed on. The session is the group's.
type guide struct {
	coach  *coach.Coach // nil while there is no target
	goal   goal
	now    float64 // s
	said   []event.Event
	fading bool
	sunk   float64 // cadence when the coach saw it sinking, steps/min
	last   detect.Rhythm
}

// goal is what the group is to walk.
type goal struct {
	cadence, low, high float64 // steps/min; cadence 0 is free
	beat               bool    // there is a beat to go by
}

// own are the cues that are the walker's.
var own = map[string]bool{
	event.CueQuicken: true, event.CueEase: true, event.CueSettled: true, event.CueHold: true,
	event.CueFade: true, event.CueUneven: true, event.CueLost: true, event.CueBack: true, event.CueCadence: true,
}

// aim takes up another goal. The coach lives on through a change of the target that
// leaves band and beat as they are, and begins anew at others.
func (g *guide) aim(to goal) error {
	was := g.goal
	if was == to {
		return nil
	}
	g.fading = false
	if g.coach != nil && to.cadence > 0 && to.beat == was.beat && alike(to.low-to.cadence, was.low-was.cadence) && alike(to.high-to.cadence, was.high-was.cadence) {
		g.goal = to
		g.said = g.coach.Handle(g.said[:0], event.Mark{T: g.now, Name: event.MarkTarget, Value: to.cadence - was.cadence})
		return nil
	}
	g.goal, g.coach = to, nil
	if to.cadence == 0 {
		return nil
	}
	s := coach.Settings{
		Cadence: to.cadence, Slow: to.cadence - to.low, Quick: to.high - to.cadence,
		Beat: coach.BeatChoice{On: to.beat}, Policy: coach.DefaultPolicy(),
	}
	s.Policy.Lead = 0.15 // the page plays at once what is due
	c, err := coach.New(s)
	if err != nil {
		return err
	}
	g.coach = c
	g.said = c.Handle(g.said[:0], event.Mark{T: g.now, Name: event.MarkStart})
	return nil
}

// alike tells whether two sides of a band are the same but for rounding.
func alike(a, b float64) bool { return a-b < 1e-6 && b-a < 1e-6 }

// take gives the coach what happened and appends what is to be said to dst.
func (g *guide) take(dst []event.Event, in event.Event) []event.Event {
	g.now = max(g.now, in.At())
	if r, ok := in.(event.Rhythm); ok {
		g.last = r.Rhythm
		if r.State != detect.Walking || r.Cadence >= g.sunk+recovered {
			g.fading = false
		}
	}
	if g.coach == nil {
		return dst
	}
	g.said = g.coach.Handle(g.said[:0], in)
	for _, e := range g.said {
		c, ok := e.(event.Cue)
		if !ok || !own[c.Name] {
			continue
		}
		if c.Name == event.CueFade {
			g.fading, g.sunk = true, g.last.Cadence
		}
		dst = append(dst, c)
	}
	return dst
}

// recovered is by how much a cadence that sank must have risen again to count as no
// longer fading, steps/min: what the coach calls a fall.
var recovered = coach.DefaultPolicy().FallBy
