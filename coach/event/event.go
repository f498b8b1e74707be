// Package event defines everything that can happen in a session, and its form
// as JSON Lines: one object a line, snake_case keys, "kind" first.
//
// A session is a sequence of events. Step, Rhythm, Gap, Mark and Fault come in
// from the walker's side; Beat and Cue are what the coach answers. Feeding the
// first kind through the coach again must give the second kind again.
package event

import "steadfoot/detect"

// Event is one entry of a session. Its time is in seconds since the start of
// the session, on the input's clock.
type Event interface {
	Kind() string // "step", "rhythm", "gap", "mark", "fault", "beat" or "cue"
	At() float64  // s
}

// Step is a footfall.
type Step struct{ detect.Step }

// Rhythm is the state of the walk, with what the coach adds to it.
type Rhythm struct {
	detect.Rhythm
	Pace float64 `json:"pace,omitempty"` // s/km, cadence times step length; 0 when either is unknown
}

// Gap is a stretch without steps.
type Gap struct{ detect.Gap }

// Mark is something a person or the clock set: the start and end of the
// session, a lap, a rep.
type Mark struct {
	T    float64 `json:"t"`              // s
	Name string  `json:"name"`           // MarkStart, MarkEnd or MarkLap
	Note string  `json:"note,omitempty"` // free text
}

// Names of marks.
const (
	MarkStart = "start"
	MarkEnd   = "end"
	MarkLap   = "lap"
)

// Fault is something that went wrong in the machine, not in the walk: a device
// that vanished, samples lost, a log that could not be written.
type Fault struct {
	T    float64 `json:"t"`    // s
	What string  `json:"what"` // one line for a person, with what to do when there is something to do
}

// Beat is one piece of the beat map: from Start on, beat k is at
// Start + k·Period, until the next piece starts. A piece with Period 0 is silence.
type Beat struct {
	T      float64     `json:"t"`              // when it was decided, s
	Start  float64     `json:"start"`          // time of its beat 0, s
	Period float64     `json:"period"`         // s
	Side   detect.Side `json:"side,omitempty"` // foot of beat 0
}

// Cue is something said to the walker.
type Cue struct {
	T      float64 `json:"t"`      // when it is to start sounding, s
	Name   string  `json:"name"`   // CueStart and so on
	Reason string  `json:"reason"` // why, in words
}

// Names of cues.
const (
	CueStart   = "start"
	CueEnd     = "end"
	CueQuicken = "quicken"
	CueEase    = "ease"
	CueSettled = "settled"
	CueLost    = "cannot hear"
	CueBack    = "heard again"
)

// Kind implements Event.
func (Step) Kind() string   { return "step" }
func (Rhythm) Kind() string { return "rhythm" }
func (Gap) Kind() string    { return "gap" }
func (Mark) Kind() string   { return "mark" }
func (Fault) Kind() string  { return "fault" }
func (Beat) Kind() string   { return "beat" }
func (Cue) Kind() string    { return "cue" }

// At implements Event.
func (e Step) At() float64   { return e.T }
func (e Rhythm) At() float64 { return e.T }
func (e Gap) At() float64    { return e.T }
func (e Mark) At() float64   { return e.T }
func (e Fault) At() float64  { return e.T }
func (e Beat) At() float64   { return e.T }
func (e Cue) At() float64    { return e.T }

// From wraps an event of a detector.
func From(e detect.Event) Event {
	switch e.Kind {
	case detect.KindStep:
		return Step{e.Step}
	case detect.KindRhythm:
		return Rhythm{Rhythm: e.Rhythm}
	default:
		return Gap{e.Gap}
	}
}

// IsInput tells whether e came from the walker's side, so that a replay feeds
// it to the coach; the others are the coach's own answers.
func IsInput(e Event) bool {
	switch e.(type) {
	case Beat, Cue:
		return false
	}
	return true
}
