package group

import (
	"steadfoot/coach"
	"steadfoot/coach/event"
)

// Map is all that a member needs to walk with a group: the beat, what holds, and
// what will be announced. It is complete, so that a late or returning member
// needs the newest one only.
type Map struct {
	Group string  `json:"group"` // name of the group, see CleanName
	Term  int     `json:"term"`  // goes up when another leader takes over
	Seq   int     `json:"seq"`   // goes up with each change within a term
	At    float64 `json:"at"`    // when it was made, s
	State string  `json:"state"` // Waiting and so on

	Session string           `json:"session,omitempty"` // what is walked; "" is a target set by hand
	Choice  coach.BeatChoice `json:"choice"`            // every step or fewer, accents
	// Beat has the pieces by Start: the one that plays at At, if any, and those to
	// come. The last one goes on until another map changes it.
	Beat   []event.Beat `json:"beat"`
	Target event.Target `json:"target"`           // from Target.T on
	Coming event.Target `json:"coming,omitzero"`  // the next target, when it is known already; T 0 is none
	Part   event.Part   `json:"part"`             // what is walked; N 0 before the start and after the end
	Next   event.Part   `json:"next,omitzero"`    // the part after it; N 0 is none
	Ends   float64      `json:"ends,omitempty"`   // when the part ends, s; 0 when that is open
	Says   []event.Cue  `json:"says,omitempty"`   // announcements to come, and those less than 30 s ago
	Spares []string     `json:"spares,omitempty"` // where to go when this hub is silent, in that order
}

// What a group does.
const (
	Waiting = "waiting" // nothing was started yet
	Walking = "walking" // a session or a target set by hand
	Paused  = "paused"
	Ended   = "ended"
)

// Newer tells whether m is to take the place of old.
func (m Map) Newer(old Map) bool {
	return m.Term > old.Term || m.Term == old.Term && m.Seq > old.Seq
}

// Beats returns the beat of the map for computing single beats.
func (m Map) Beats() *coach.BeatMap {
	b := &coach.BeatMap{Only: m.Choice.Foot, Every: m.Choice.Every, Accent: m.Choice.Accent}
	for _, p := range m.Beat {
		b.Add(p)
	}
	return b
}
