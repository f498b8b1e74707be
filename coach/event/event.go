// Package event defines everything that can happen in a session, and its form
// as JSON Lines: one object a line, snake_case keys, "kind" first.
//
// A session is a sequence of events. Step, Rhythm, Gap, Mark and Fault come in
// from the walker's side, and Shared and Call from the leader of a group; Beat,
// Cue, Part, Target and Lap are what the coach answers. Feeding the first kind
// through the coach again must give the second kind again.
package event

import (
	"fmt"

	"steadfoot/detect"
)

// Event is one entry of a session. Its time is in seconds since the start of
// the session, on the input's clock.
type Event interface {
	Kind() string // "step", "rhythm", "gap", "mark", "fault", "shared", "call", "beat", "cue", "part", "target" or "lap"
	At() float64  // s
}

// Step is a footfall.
type Step struct{ detect.Step }

// Rhythm is the state of the walk, with what the coach adds to it.
type Rhythm struct {
	detect.Rhythm
	Pace     float64 `json:"pace,omitempty"`     // s/km, cadence times step length; 0 when either is unknown
	Distance float64 `json:"distance,omitempty"` // walked since the start by the coach's estimate, m; 0 when the step length is unknown
}

// Gap is a stretch without steps.
type Gap struct{ detect.Gap }

// Mark is something a person or the clock set: the start and end of the
// session, a lap, a wish.
type Mark struct {
	T     float64 `json:"t"`               // s
	Name  string  `json:"name"`            // MarkStart and so on
	Note  string  `json:"note,omitempty"`  // free text
	Value float64 `json:"value,omitempty"` // what MarkTarget changes the target by, steps/min
}

// Names of marks.
const (
	MarkStart   = "start"
	MarkEnd     = "end"
	MarkLap     = "lap"      // at the line: the track's length since the last one, or since the part began
	MarkSkip    = "skip"     // ends the present part of the session; 'ready' in a recovery that waits for it
	MarkPause   = "pause"    // session time stands still: no beat, no cues, no distance
	MarkResume  = "resume"   // ends a pause
	MarkTarget  = "target"   // moves the target by Value
	MarkBeatOn  = "beat on"  // the walker wants the beat
	MarkBeatOff = "beat off" // the walker wants no beat
)

// Fault is something that went wrong in the machine, not in the walk: a device
// that vanished, samples lost, a log that could not be written.
type Fault struct {
	T    float64 `json:"t"`              // s
	What string  `json:"what"`           // one line for a person, with what to do when there is something to do
	Code string  `json:"code,omitempty"` // FaultMuted and so on; "" for one without a word of its own
}

// Codes of faults. All but the last have a cue of their own, as the walker can act
// on them without looking.
const (
	FaultMuted   = "muted"     // the microphone gives nothing at all
	FaultQuiet   = "too quiet" // the level is too low to hear steps
	FaultClipped = "clipped"   // the level is too high: its peaks are cut off
	FaultWind    = "wind"      // wind at the microphone drowns the steps
	FaultBattery = "battery"   // it is low
	FaultLog     = "log"       // what is to be kept cannot be written
)

// Beat is one piece of the beat map: from Start on, beat k is at
// Start + k·Period, until the next piece starts. A piece with Period 0 is silence.
// Times are those at which a beat is heard.
type Beat struct {
	T      float64     `json:"t"`               // when it was decided, s
	Start  float64     `json:"start"`           // time of its beat 0, s
	Period float64     `json:"period"`          // s
	Side   detect.Side `json:"side,omitempty"`  // foot of beat 0
	N      int         `json:"n,omitempty"`     // number of beat 0, counted on from piece to piece: every fourth stays every fourth
	Level  float64     `json:"level,omitempty"` // dB against the chosen volume, 0 or less
}

// Cue is something said to the walker.
type Cue struct {
	T      float64 `json:"t"`               // when it is to start sounding, s
	Name   string  `json:"name"`            // CueStart and so on
	Reason string  `json:"reason"`          // why, in words
	Value  float64 `json:"value,omitempty"` // the figure it tells: steps/min of CueCadence, s of CueCountdown
	Line   string  `json:"line,omitempty"`  // the voice line of CueReminder
}

// Names of cues.
const (
	CueStart     = "start"         // the session begins
	CueEnd       = "end"           // the session ends
	CueQuicken   = "quicken"       // the cadence is below the band
	CueEase      = "ease"          // the cadence is above the band
	CueSettled   = "settled"       // back in the band
	CueHold      = "hold"          // right, and it is to stay so
	CueFade      = "fade"          // the rhythm has been falling for a while
	CueUneven    = "uneven"        // left and right steps have come apart
	CueLost      = "cannot hear"   // the walker cannot be heard
	CueBack      = "heard again"   //
	CueCountdown = "countdown"     // three notes a second apart; the rep begins Value seconds after the first
	CueRepStart  = "rep start"     //
	CueHalfWay   = "half way"      // of a rep
	CueLastPart  = "last part"     // the last 50 m or 10 s of a rep
	CueRepEnd    = "rep end"       //
	CueRecovered = "recovery over" // a recovery has ended and no rep follows at once
	CueReminder  = "reminder"      // the coach's own voice line, Line
	CueCadence   = "cadence"       // the cadence in digits, Value
	CuePaused    = "paused"        //
	CueResumed   = "resumed"       //
	CueLap       = "lap"           // a lap mark was taken
	CueFault     = "fault"         // something is wrong with the machine
	CueMuted     = "muted"         // FaultMuted and so on
	CueQuiet     = "too quiet"     //
	CueClipped   = "too loud"      //
	CueWind      = "wind"          //
	CueBattery   = "battery"       //
)

// Part begins a part of the session: a rep, a recovery. It lasts until the next
// one.
type Part struct {
	T        float64 `json:"t"`                  // s
	N        int     `json:"n"`                  // its place in the plan, from 1; 0 after the last
	Role     string  `json:"role"`               // RoleRep and so on
	Label    string  `json:"label,omitempty"`    // the coach's word for it
	Set      int     `json:"set,omitempty"`      // from 1; 0 outside of sets
	Rep      int     `json:"rep,omitempty"`      // within its set, from 1
	Of       int     `json:"of,omitempty"`       // reps in that set
	Length   float64 `json:"length,omitempty"`   // planned, m
	Duration float64 `json:"duration,omitempty"` // planned, s
	Distance float64 `json:"distance,omitempty"` // walked when it began, m
}

// Roles of a part.
const (
	RoleWarmUp   = "warm-up"
	RoleRep      = "rep"
	RoleDrill    = "drill"
	RoleRecovery = "recovery"
	RoleCoolDown = "cool-down"
	RoleFree     = "free" // what is walked without a plan, or after it
)

// Title names the part in a few words, like "rep 2 of 5 (easy)".
func (p Part) Title() string {
	text := p.Role
	switch {
	case (p.Role == RoleRep || p.Role == RoleDrill) && p.Of > 0:
		text = fmt.Sprintf("%s %d of %d", p.Role, p.Rep, p.Of)
	case p.Role == RoleRecovery && p.Rep > 0:
		text = fmt.Sprintf("recovery after %d of %d", p.Rep, p.Of)
	}
	if p.Label != "" {
		text += " (" + p.Label + ")"
	}
	return text
}

// Target says what holds from now on.
type Target struct {
	T       float64 `json:"t"`              // s
	Cadence float64 `json:"cadence"`        // steps/min; 0: none, the walker is free
	Low     float64 `json:"low"`            // ends of the band, steps/min
	High    float64 `json:"high"`           //
	Pace    float64 `json:"pace,omitempty"` // s/km; 0 when it is not known
	Reason  string  `json:"reason"`         // in words
}

// Lap is what a lap mark came to.
type Lap struct {
	T          float64 `json:"t"`           // s
	Distance   float64 `json:"distance"`    // between the marks, m
	Time       float64 `json:"time"`        // between the marks, s
	Steps      int     `json:"steps"`       //
	StepLength float64 `json:"step_length"` // m; 0 when steps were missing
}

// Kind implements Event.
func (Step) Kind() string   { return "step" }
func (Rhythm) Kind() string { return "rhythm" }
func (Gap) Kind() string    { return "gap" }
func (Mark) Kind() string   { return "mark" }
func (Fault) Kind() string  { return "fault" }
func (Shared) Kind() string { return "shared" }
func (Call) Kind() string   { return "call" }
func (Beat) Kind() string   { return "beat" }
func (Cue) Kind() string    { return "cue" }
func (Part) Kind() string   { return "part" }
func (Target) Kind() string { return "target" }
func (Lap) Kind() string    { return "lap" }

// At implements Event.
func (e Step) At() float64   { return e.T }
func (e Rhythm) At() float64 { return e.T }
func (e Gap) At() float64    { return e.T }
func (e Mark) At() float64   { return e.T }
func (e Fault) At() float64  { return e.T }
func (e Shared) At() float64 { return e.T }
func (e Call) At() float64   { return e.T }
func (e Beat) At() float64   { return e.T }
func (e Cue) At() float64    { return e.T }
func (e Part) At() float64   { return e.T }
func (e Target) At() float64 { return e.T }
func (e Lap) At() float64    { return e.T }

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
	case Beat, Cue, Part, Target, Lap:
		return false
	}
	return true
}
