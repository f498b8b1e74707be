package main

import (
	"math"
	"slices"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

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
)

// moment is one instant on all clocks, s.
type moment struct{ session, local, group float64 }

// news brings what the leader of a group wants to the clock of a session, as events
// for its coach.
type news struct {
	sessionOf func(at float64) float64 // a group time on the session's clock, s
	lead      float64                  // coach.Policy.Lead, s
	own       *coach.BeatChoice        // which beats the walker wants; nil: those of the leader

	told   event.Shared
	piece  event.Beat // the leader's, of which told.Beat is made
	then   event.Beat // likewise told.Then
	at     float64    // when the beat was told, s
	any    bool       // something was told
	called []called   // what is in the map and was handed on
}

// take appends what the map m has to say at session time now, with that as its time;
// at is the present moment.
func (n *news) take(dst []event.Event, m group.Map, now float64, at moment) []event.Event {
	if e := n.shared(m, now, at); !n.any || e != n.told {
		n.any, n.told = true, e
		e.T = now
		dst = append(dst, e)
	}
	return n.calls(dst, m, now, at)
}

// shared is what holds now, by the session's clock; its T is 0.
func (n *news) shared(m group.Map, now float64, at moment) event.Shared {
	e := event.Shared{Paused: m.State == group.Paused}
	choice := m.Choice
	if n.own != nil {
		choice = *n.own
	}
	e.Foot, e.Every, e.Accent = choice.Foot, choice.Every, choice.Accent
	e.Beat, e.Then = n.beats(m, now, at)
	e.Target = n.target(m, at)
	e.Part, e.Next, e.Ends = n.part(m, at)
	return e
}

// beats are the pieces that play from the first beat on that can still be changed.
// They are taken from the leader's only when they are others, or have moved.
func (n *news) beats(m group.Map, now float64, at moment) (beat, then event.Beat) {
	from := at.group + now - at.session + n.lead
	piece, next := piecesAt(m.Beat, from)
	beat, then = n.bring(piece, from), n.bring(next, from)
	if !n.any || piece != n.piece || next != n.then {
		n.piece, n.then, n.at = piece, next, now
		return beat, then
	}
	if now < n.at+toldApart || moved(n.told.Beat, beat) <= beatMoves && moved(n.told.Then, then) <= beatMoves {
		return n.told.Beat, n.told.Then
	}
	n.at = now
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
func (n *news) bring(piece event.Beat, from float64) event.Beat {
	if piece == (event.Beat{}) {
		return piece
	}
	if piece.Period == 0 {
		piece.Start = n.sessionOf(max(piece.Start, from))
		return event.Beat{Start: piece.Start}
	}
	k := max(int(math.Ceil((from-piece.Start)/piece.Period)), 0)
	if k%2 == 1 {
		piece.Side = piece.Side.Other()
	}
	first := piece.Start + float64(k)*piece.Period
	piece.Start = n.sessionOf(first)
	piece.Period = (n.sessionOf(first+mappedBeats*piece.Period) - piece.Start) / mappedBeats
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
func (n *news) target(m group.Map, at moment) event.Target {
	t := m.Target
	switch {
	case m.Coming.T != 0 && m.Coming.T <= at.group:
		t = m.Coming
	case t.T > at.group:
		return n.told.Target
	}
	t.T = 0
	return t
}

// part is what is walked now, what comes after it, and when it ends. Without news
// of the leader the next part begins when the present one was to end.
func (n *news) part(m group.Map, at moment) (part, next event.Part, ends float64) {
	part, next, ends = m.Part, m.Next, m.Ends
	switch {
	case ends > 0 && ends <= at.group && next.N > 0:
		part, next, part.T = next, event.Part{}, ends
		if ends = 0; part.Duration > 0 {
			ends = part.T + part.Duration
		}
	case part.T > at.group:
		return n.told.Part, n.told.Next, n.told.Ends
	}
	if part != (event.Part{}) { // one from before the start has no time
		part.T = steadily(n.told.Part.T, part.T-at.group+at.session)
	}
	if ends > 0 {
		ends = max(steadily(n.told.Ends, ends-at.group+at.session), 0)
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

// called is an announcement that was handed on.
type called struct {
	event.Cue
	due float64 // by the session's clock, as it was handed on, s; less than 0: it was over
}

// calls hands on what is to be announced soon, each once, and takes back what the
// leader has taken back. What is long over is not made up for.
func (n *news) calls(dst []event.Event, m group.Map, now float64, at moment) []event.Event {
	n.called = slices.DeleteFunc(n.called, func(c called) bool {
		if slices.Contains(m.Says, c.Cue) {
			return false
		}
		if c.due > now {
			dst = append(dst, event.Call{T: now, Due: c.due, Name: event.CallOff, Line: c.Name})
		}
		return true
	})
	for _, c := range m.Says {
		in := c.T - at.group
		if in > callAhead || slices.ContainsFunc(n.called, func(have called) bool { return have.Cue == c }) {
			continue
		}
		due := -1.0
		if in > -1 {
			due = max(n.sessionOf(c.T), 0)
			dst = append(dst, event.Call{T: now, Due: due, Name: c.Name, Value: c.Value, Line: c.Line})
		}
		n.called = append(n.called, called{c, due})
	}
	return dst
}
