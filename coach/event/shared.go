package event

import "steadfoot/detect"

// Shared is what the leader of a group wants from T on, by the session's clock.
// It is complete: the latest one holds.
type Shared struct {
	T float64 `json:"t"` // when it was taken in, s
	// Beat is the piece of the group's beat that plays next, and Then the one
	// that takes over from it; with a Start of 0 there is none. Their T is 0.
	Beat Beat `json:"beat"`
	Then Beat `json:"then,omitzero"`
	// Foot, Every and Accent say which beats are given, as in coach.BeatChoice.
	Foot   detect.Side `json:"foot,omitempty"`
	Every  int         `json:"every,omitempty"`
	Accent int         `json:"accent,omitempty"`

	Target Target  `json:"target"` // Cadence 0: the walkers are free
	Part   Part    `json:"part"`   // N 0: none
	Next   Part    `json:"next,omitzero"`
	Ends   float64 `json:"ends,omitempty"` // when Part ends, s; 0 when that is open
	Paused bool    `json:"paused,omitempty"`
}

// Call is an announcement of the leader of a group, or takes one back.
type Call struct {
	T     float64 `json:"t"`               // when it was taken in, s
	Due   float64 `json:"due"`             // when it is to start sounding, s
	Name  string  `json:"name"`            // as in Cue, and so on; or CallOff
	Value float64 `json:"value,omitempty"` //
	Line  string  `json:"line,omitempty"`  //
}

// CallOff is the Name of a Call that takes back an earlier one: that with its Due
// and with its Line as the name.
const CallOff = "call off"
