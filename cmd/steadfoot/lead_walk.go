package main

import (
	"encoding/json"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

const (
	// rhythmsApart is the least time between two rhythms that are stored, s: a member
	// tells one a second.
	rhythmsApart = 0.4
	// toldWithin is how old the first news of a walk may be, s.
	toldWithin = 5.0
)

// storedWalk is the walk of one walker as the leader knows it: what the walker told,
// and what the leader wanted meanwhile, as a coach of that walker would have had it.
// Session time is group time less zero.
type storedWalk struct {
	name  string
	group string
	log   *logbook.Writer
	coach *coach.Coach
	plan  news
	zero  float64

	heard  float64 // group time of the last news, s
	latest float64 // of the events, session time
	last   detect.State
	rhythm float64 // when it was told last, s
	foot   float64 // time of the last step, s; -1 before the first
	halt   float64 // since when one who walked is told not to, s; -1: walks
	events int
	over   bool // nothing more is stored
	cues   []event.Event
}

// beginWalk enters the walk into the store.
func beginWalk(s *walkStore, n toldOf, maps []group.Map, now float64) (*storedWalk, error) {
	m := mapOf(maps, n.Group)
	set := coach.Settings{
		Athlete: n.Name, Cadence: m.Target.Cadence, Slow: 4, Quick: 4,
		Beat: coach.BeatChoice{On: true, Mode: coach.Shared}, Policy: toldPolicy(),
	}
	if !(set.Cadence >= detect.Slowest && set.Cadence <= detect.Fastest) {
		set.Cadence = 180 // what holds comes with the first news
	}
	if s.length > 0 {
		set.StepLength = profiles.Constant(s.length)
	}
	c, err := coach.New(set)
	if err != nil {
		return nil, err
	}
	settings, err := json.Marshal(set)
	if err != nil {
		return nil, err
	}
	input := "group"
	if n.Way != "" {
		input += ", by a " + n.Way
	}
	zero := now
	for _, e := range n.events {
		zero = min(zero, max(e.At(), now-toldWithin))
	}
	log, err := s.store.Begin(logbook.Header{
		Started: s.wall().Add(time.Duration((zero - now) * 1e9)), Athlete: n.Name, Label: groupLabel(m), Settings: settings,
		Input: input, Output: "the walker's own device", Version: version,
	})
	if err != nil {
		return nil, err
	}
	w := &storedWalk{name: n.Name, group: n.Group, log: log, coach: c, zero: zero, heard: now, foot: -1, halt: -1, rhythm: -1}
	w.plan = news{sessionOf: func(at float64) float64 { return at - zero }, lead: set.Policy.Lead}
	w.give(event.Mark{Name: event.MarkStart})
	w.follow(maps, now)
	return w, nil
}

// toldPolicy is that of a coach who says nothing of the walk: what the walker was told
// is known to the walker's own. A rhythm as it is told has no share of steps that were
// heard, so the cadence is not judged either, see MinHeard.
func toldPolicy() coach.Policy {
	p := coach.DefaultPolicy()
	p.Hold, p.Falling, p.Uneven, p.Tell, p.Lost = 0, 0, 0, 0, 60
	return p
}

// mapOf is the map of a group, or of the first one where that is not known.
func mapOf(maps []group.Map, name string) group.Map {
	for _, m := range maps {
		if m.Group == name {
			return m
		}
	}
	if len(maps) == 0 {
		return group.Map{}
	}
	return maps[0]
}

// follow takes up what the leader wants at group time now, of one who is here.
func (w *storedWalk) follow(maps []group.Map, now float64) {
	m := mapOf(maps, w.group)
	if w.over || m.Group == "" || now-w.heard > hereFor {
		return
	}
	session := now - w.zero
	for _, e := range w.plan.take(nil, m, session, moment{session: session, local: now, group: now}) {
		w.give(e)
	}
}

// take takes up what was told of the walker at group time now.
func (w *storedWalk) take(n toldOf, now float64) {
	w.group, w.heard = n.Group, now
	for _, e := range n.events {
		if w.over {
			return
		}
		switch e := e.(type) {
		case event.Step:
			e.T -= w.zero
			w.step(e)
		case event.Rhythm:
			e.T -= w.zero
			w.tick(e)
		}
	}
}

// step takes in a step. One from before the walk was agreed to is left out.
func (w *storedWalk) step(e event.Step) {
	if e.T < 0 || e.T <= w.foot {
		return
	}
	if w.halt >= 0 && e.T > w.halt {
		w.resume(e.T)
	}
	w.foot = e.T
	w.give(e)
}

// tick takes in how the walker fared at a moment.
func (w *storedWalk) tick(e event.Rhythm) {
	if e.T < 0 || w.rhythm >= 0 && e.T < w.rhythm+rhythmsApart {
		return
	}
	walks := e.State == detect.Walking
	switch {
	case walks && w.halt >= 0:
		w.resume(e.T)
	case !walks && w.halt < 0 && w.foot >= 0:
		w.halt = e.T
	}
	w.rhythm, w.last = e.T, e.State
	e.Pace, e.Distance = w.coach.Pace(e.Cadence), w.coach.Distance()
	w.give(e)
}

// resume tells the stretch without steps that ends at t. A member tells of standing
// by its rhythm alone.
func (w *storedWalk) resume(t float64) {
	from := min(w.halt, w.foot)
	reason := detect.GapStopped
	if w.last == detect.CannotHear {
		reason = detect.GapDeaf
	}
	w.halt = -1
	w.give(event.Gap{Gap: detect.Gap{T: from, Length: t - from, Reason: reason}})
}

// note puts a word of the leader's program into the walk.
func (w *storedWalk) note(words string) {
	w.give(event.Mark{T: w.latest, Name: markGroup, Note: words})
}

// end ends the walk with the last that is known of it.
func (w *storedWalk) end() { w.give(event.Mark{T: w.latest, Name: event.MarkEnd}) }

// give hands one event to the coach, and stores it and the answers. A disk that fails
// is told elsewhere; an event that cannot be stored is left out altogether.
func (w *storedWalk) give(in event.Event) {
	if w.log.Append(in) != nil {
		return
	}
	w.latest = max(w.latest, in.At())
	w.cues = w.coach.Handle(w.cues[:0], in)
	for _, e := range w.cues {
		_ = w.log.Append(e) // the coach gives nothing that cannot be
	}
	w.events += 1 + len(w.cues)
}
