package main

import (
	"math"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/cmd/steadfoot/screen"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/follow"
	"steadfoot/coach/group"
)

// joinIn connects the walk with the group: the session's clock is that of the sound
// device, or else of the input. Where the profile knows no latency, the device's
// own claim is better than none, as everybody's earbuds are to sound at once. It
// does nothing where the walk is not a group's.
func (p *party) joinIn(g *gear, w *live.Walk, set *coach.Settings) (err error) {
	if p == nil {
		return nil
	}
	switch {
	case g.duplex != nil && (w.Pace != nil || g.in == nil || g.in.live != nil):
		p.session = g.duplex
	case g.paced != nil:
		p.session = g.paced
	default:
		p.session = newHeardClock()
	}
	if claimed := g.claimed(); w.Latency == 0 && claimed > 0 {
		w.Latency = claimed
		set.Policy.Lead += claimed
		if w.Coach, err = coach.New(*set); err != nil {
			return err
		}
	}
	p.walk, p.news.lead, p.news.sessionOf = w, set.Policy.Lead, p.sessionOf
	p.report.coach, p.report.latency = w.Coach, w.Latency
	p.report.meter = follow.New(w.Coach.Beats())
	w.Led = p.led
	return nil
}

// mostClaimed bounds what a device is believed of its latency, s.
const mostClaimed = 0.5

// claimed is the device's latency from the session's clock to the ear, by its own
// claim, s; 0 where there is none.
func (g *gear) claimed() float64 {
	if g.duplex == nil {
		return 0
	}
	st := g.duplex.Stats()
	late := st.OutputLatency
	if st.Input != "" {
		late = st.RoundTrip
	}
	if !(late > 0) {
		return 0
	}
	return min(late, mostClaimed)
}

// watch has the party see all events of the walk.
func (p *party) watch(w *live.Walk) {
	if p == nil {
		return
	}
	show := w.Show
	w.Show = func(e event.Event) {
		p.see(e)
		if show != nil {
			show(e)
		}
	}
}

// shown is what a screen shows of the group.
func (p *party) shown() screen.Group {
	if p == nil {
		return screen.Group{}
	}
	m, _ := p.link.Map()
	g := screen.Group{Name: m.Group, Lost: p.gone, Paused: m.State == group.Paused}
	if s := p.link.Spread(); p.link.Known() && !math.IsInf(s.Guess, 0) {
		g.Clock = 1000 * s.Guess
	}
	g.Off, g.R, g.Steps = p.report.meter.At(p.report.now.session)
	return g
}
