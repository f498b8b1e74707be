package main

import (
	"fmt"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// guide is the coach of a walker in a group: of what it says only the words about
// the walker's own rhythm are passed on. The session is the group's.
type guide struct {
	coach  *coach.Coach // nil until there is a target
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

// aim takes up another goal. As in a walk of 'steadfoot join' the coach has it from the
// leader, and lives on through all of them. Where in the group's beat the walker is the
// page knows and the coach need not: it is told only that a beat plays.
func (g *guide) aim(to goal) error {
	if g.goal == to {
		return nil
	}
	if to.cadence != 0 && !(to.cadence >= detect.Slowest && to.cadence <= detect.Fastest) {
		return fmt.Errorf("target %v steps/min; allowed: %v to %v", to.cadence, detect.Slowest, detect.Fastest)
	}
	if g.coach == nil {
		c, err := coach.New(shared())
		if err != nil {
			return err
		}
		g.coach = c
		c.Handle(nil, event.Mark{T: g.now, Name: event.MarkStart})
	}
	g.goal, g.fading = to, false
	e := event.Shared{T: g.now, Target: event.Target{Cadence: to.cadence, Low: to.low, High: to.high}}
	if to.beat && to.cadence > 0 {
		e.Beat = event.Beat{Start: g.now, Period: 60 / to.cadence}
	}
	g.said = g.coach.Handle(g.said[:0], e)
	return nil
}

// shared are the settings of one who walks with a group; what holds comes with aim.
func shared() coach.Settings {
	s := coach.Settings{
		Cadence: 180, Slow: 4, Quick: 4,
		Beat: coach.BeatChoice{On: true, Mode: coach.Shared}, Policy: coach.DefaultPolicy(),
	}
	s.Policy.Lead = 0.15 // the page plays at once what is due
	return s
}

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
