package main

import (
	"math"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/follow"
	"steadfoot/coach/group"
	"steadfoot/detect"
)

// reportEvery is the time between two reports to the leader, s.
const reportEvery = 1.0

// reporter tells the leader how the walker fares.
type reporter struct {
	coach   *coach.Coach
	meter   *follow.Meter
	latency float64 // of the sound, s
	now     moment
	due     float64 // s
	steps   []event.Step
}

// see is called with every event of the walk.
func (p *party) see(e event.Event) {
	r := &p.report
	switch e := e.(type) {
	case event.Step:
		r.meter.Step(e.Step)
		if p.agree && r.now.local > 0 {
			local := e
			local.T += r.now.local - r.now.session
			r.steps = append(r.steps, local)
		}
	case event.Rhythm:
		if len(r.steps) > 0 {
			p.link.Steps(r.steps)
			r.steps = nil // the link has it now
		}
		if e.T >= r.due {
			r.due = e.T + reportEvery
			p.link.Report(r.status(e))
		}
	}
}

var hears = map[detect.State]string{
	detect.CannotHear: group.HearsDeaf, detect.NotWalking: group.HearsStill, detect.Walking: group.HearsWalking,
}

// status is how the walker fares by a rhythm.
func (r *reporter) status(e event.Rhythm) group.Status {
	s := group.Status{Hears: hears[e.State], Latency: 1000 * r.latency, Fading: r.coach.Fading()}
	s.Off, s.R, s.N = r.meter.At(e.T)
	if e.State != detect.Walking {
		return s
	}
	s.Cadence, s.SD, s.Pace, s.Uneven = e.Cadence, e.CadenceSD, e.Pace, e.Unevenness
	if math.IsInf(s.SD, 0) || math.IsNaN(s.SD) || s.SD > 400 {
		s.SD = 0
	}
	if !(s.Pace <= 3600) {
		s.Pace = 0
	}
	return s
}
