package main

import (
	"math"
	"time"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
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

const (
	// beatMoves is how far a beat may be from where the clocks have it, s, before it
	// is told anew, and toldApart the least time between two tellings for that.
	beatMoves = 0.0002
	toldApart = 0.5
	// mappedBeats is over how many beats the period is taken to the session's clock.
	mappedBeats = 16
	// partMoves likewise for the times of parts, which are shown in seconds.
	partMoves = 0.25
	// callAhead is how long before its moment an announcement is handed on, s: the
	// countdown wants the voice free.
	callAhead = 4.0
	// lostFor is how long the leader must be out of reach to be worth a word, s.
	lostFor = 3.0
)

// party is a walk's part in a group: it brings what the leader wants to the
// session's clock, and tells the leader how the walker fares.
type party struct {
	link    leaderLink
	clock   func() time.Duration // the machine's, as the link has it
	session sessionClock
	own     *coach.BeatChoice // which beats the walker wants; nil: those of the leader
	agree   bool
	walk    *live.Walk
	lead    float64 // coach.Policy.Lead, s
	report  reporter

	told   event.Shared
	piece  event.Beat // the leader's, of which told.Beat is made
	then   event.Beat // likewise told.Then
	at     float64    // when the beat was told, s
	any    bool       // something was told
	called map[event.Cue]bool
	lost   float64 // since when there is no leader, s; 0: there is one
	gone   bool    // it was told
}

// moment is one instant on all clocks, s.
type moment struct{ session, local, group float64 }

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
	if e := p.shared(m, now, at); !p.any || e != p.told {
		p.any, p.told = true, e
		e.T = now
		p.walk.Accents = e.Accent > 1
		dst = append(dst, e)
	}
	return p.calls(dst, m, now, at)
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

// shared is what holds now, by the session's clock; its T is 0.
func (p *party) shared(m group.Map, now float64, at moment) event.Shared {
	e := event.Shared{Paused: m.State == group.Paused}
	choice := m.Choice
	if p.own != nil {
		choice = *p.own
	}
	e.Foot, e.Every, e.Accent = choice.Foot, choice.Every, choice.Accent
	e.Beat, e.Then = p.beats(m, now, at)
	e.Target = p.target(m, at)
	e.Part, e.Next, e.Ends = p.part(m, at)
	return e
}

// beats are the pieces that play from the first beat on that can still be changed.
// They are taken from the leader's only when they are others, or have moved.
func (p *party) beats(m group.Map, now float64, at moment) (beat, then event.Beat) {
	from := at.group + now - at.session + p.lead
	piece, next := piecesAt(m.Beat, from)
	beat, then = p.bring(piece, from), p.bring(next, from)
	if !p.any || piece != p.piece || next != p.then {
		p.piece, p.then, p.at = piece, next, now
		return beat, then
	}
	if now < p.at+toldApart || moved(p.told.Beat, beat) <= beatMoves && moved(p.told.Then, then) <= beatMoves {
		return p.told.Beat, p.told.Then
	}
	p.at = now
	return beat, then
}

// piecesAt are the piece that holds at a group time and the one after it; where
// none has begun the beat is silent until the first.
func piecesAt(all []event.Beat, at float64) (piece, next event.Beat) {
	i := 0
	for i < len(all) && all[i].Start <= at {
		piece = all[i]
		i++
	}
	if i < len(all) {
		next = all[i]
	}
	piece.T, next.T = 0, 0
	return piece, next
}

// bring takes a piece to the session's clock, from its first beat at or after a
// group time. Beats near to it are where the clocks have them now; further on the
// clocks are asked again.
func (p *party) bring(piece event.Beat, from float64) event.Beat {
	if piece == (event.Beat{}) {
		return piece
	}
	if piece.Period == 0 {
		piece.Start = p.sessionOf(max(piece.Start, from))
		return event.Beat{Start: piece.Start}
	}
	k := max(int(math.Ceil((from-piece.Start)/piece.Period)), 0)
	if k%2 == 1 {
		piece.Side = piece.Side.Other()
	}
	first := piece.Start + float64(k)*piece.Period
	piece.Start = p.sessionOf(first)
	piece.Period = (p.sessionOf(first+mappedBeats*piece.Period) - piece.Start) / mappedBeats
	piece.N += k
	return piece
}

// moved is by how much the first beat of a piece is away from where it was told, s.
// Silence that is being kept has not moved.
func moved(told, is event.Beat) float64 {
	if is.Period == 0 || told.Period == 0 {
		if is.Period != told.Period {
			return math.Inf(1)
		}
		return 0
	}
	return math.Abs(told.Start + float64(is.N-told.N)*told.Period - is.Start)
}

// target is what holds now. One that is still to come leaves the one before.
func (p *party) target(m group.Map, at moment) event.Target {
	t := m.Target
	switch {
	case m.Coming.T != 0 && m.Coming.T <= at.group:
		t = m.Coming
	case t.T > at.group:
		return p.told.Target
	}
	t.T = 0
	return t
}

// part is what is walked now, what comes after it, and when it ends. Without news
// of the leader the next part begins when the present one was to end.
func (p *party) part(m group.Map, at moment) (part, next event.Part, ends float64) {
	part, next, ends = m.Part, m.Next, m.Ends
	switch {
	case ends > 0 && ends <= at.group && next.N > 0:
		part, next, part.T = next, event.Part{}, ends
		if ends = 0; part.Duration > 0 {
			ends = part.T + part.Duration
		}
	case part.T > at.group:
		return p.told.Part, p.told.Next, p.told.Ends
	}
	part.T = steadily(p.told.Part.T, part.T-at.group+at.session)
	if ends > 0 {
		ends = max(steadily(p.told.Ends, ends-at.group+at.session), 0)
	}
	next.T = 0
	return part, next, ends
}

// steadily keeps a time as it was told where it has hardly moved.
func steadily(told, is float64) float64 {
	if math.Abs(is-told) < partMoves {
		return told
	}
	return is
}

// calls hands on what is to be announced soon, each once. What is long over is not
// made up for.
func (p *party) calls(dst []event.Event, m group.Map, now float64, at moment) []event.Event {
	if p.called == nil || len(p.called) > 4*len(m.Says)+64 {
		still := map[event.Cue]bool{}
		for _, c := range m.Says {
			still[c] = p.called[c]
		}
		p.called = still
	}
	for _, c := range m.Says {
		in := c.T - at.group
		if p.called[c] || in > callAhead {
			continue
		}
		p.called[c] = true
		if in > -1 {
			dst = append(dst, event.Call{T: now, Due: max(p.sessionOf(c.T), 0), Name: c.Name, Value: c.Value, Line: c.Line})
		}
	}
	return dst
}
