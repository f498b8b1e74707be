package main

import (
	"time"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
)

// leaderLink is what a walk needs of a member.Member.
type leaderLink interface {
	Map() (group.Map, bool)
	Known() bool
	Connected() bool
	GroupAt(local float64) float64
	LocalAt(at float64) float64
	Spread() clock.Spread
	Report(group.Status)
	Steps([]event.Step)
}

// sessionClock tells the session time at a time of the machine's clock.
type sessionClock interface {
	SessionAt(mono time.Duration) (s float64, ok bool)
}

// lostFor is how long the leader must be out of reach to be worth a word, s.
const lostFor = 3.0

// party is a walk's part in a group: it brings what the leader wants to the
// session's clock, and tells the leader how the walker fares.
type party struct {
	link    leaderLink
	clock   func() time.Duration // the machine's, as the link has it
	session sessionClock
	agree   bool
	walk    *live.Walk
	news    news
	report  reporter

	lost float64 // since when there is no leader, s; 0: there is one
	gone bool    // it was told
}

// moment is the present one; not ok while a clock is not known.
func (p *party) moment() (m moment, ok bool) {
	if !p.link.Known() {
		return m, false
	}
	mono := p.clock()
	m.session, ok = p.session.SessionAt(mono)
	m.local = mono.Seconds()
	m.group = p.link.GroupAt(m.local)
	return m, ok
}

// sessionOf takes a group time to the session's clock.
func (p *party) sessionOf(at float64) float64 {
	s, _ := p.session.SessionAt(time.Duration(p.link.LocalAt(at) * 1e9))
	return s
}

// led is for live.Walk's Led.
func (p *party) led(dst []event.Event, now float64) []event.Event {
	if c, ok := p.session.(*heardClock); ok {
		c.heard(now, p.clock())
	}
	dst = p.reach(dst, now)
	m, ok := p.link.Map()
	if !ok {
		return dst
	}
	at, ok := p.moment()
	if !ok {
		return dst
	}
	p.report.now = at
	dst = p.news.take(dst, m, now, at)
	p.walk.Accents = p.news.told.Accent > 1
	return dst
}

// reach tells once when the leader is lost, and when it is back.
func (p *party) reach(dst []event.Event, now float64) []event.Event {
	switch {
	case p.link.Connected():
		p.lost = 0
		if p.gone {
			p.gone = false
			dst = append(dst, event.Mark{T: now, Name: markGroup, Note: "the leader is back"})
		}
	case p.lost == 0:
		p.lost = max(now, 1e-9)
	case !p.gone && now >= p.lost+lostFor:
		p.gone = true
		dst = append(dst, event.Mark{T: now, Name: markGroup, Note: "the leader cannot be reached; the beat goes on by itself"})
	}
	return dst
}

// markGroup is the mark that tells of the leader in the log.
const markGroup = "group"
