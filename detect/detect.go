// Package detect finds footsteps in sound or in an accelerometer's signal and
// keeps the rhythm they make.
//
// It is two layers. The evidence layer turns the input into one number a frame:
// how much this frame looks like the start of a footfall. The rhythm filter
// reads that number and holds a belief over step period and phase, so a step
// that wind or a truck covered is still counted, and a slammed door is not.
//
// Start with [NewSound] for audio or [NewMotion] for an accelerometer, hand the
// input over with Feed as it comes, in pieces of any size, and end with Flush.
// Both only depend on what they were fed: the same input gives the same events,
// however it was cut into pieces. Neither reads a clock, starts a goroutine or
// does I/O.
//
// Times are seconds since the start of the input, on the input's own clock;
// cadences are steps/min, where a step is from one foot's contact to the other's.
//
// # What comes out
//
// A [Step] for every footfall, told some 30 ms after its first contact in sound
// and 0.3 s after it from an accelerometer; the first steps of a walk are told
// together, once it is sure that there is one. A [Rhythm] every half second,
// with the cadence and its standard error. A [Gap] when a stretch without steps
// ends. Events of one kind come in order of time.
//
// No level, threshold or tempo has to be set. What both feet do is followed
// apart, so an uneven gait is measured and not smeared. Where clicks or words are
// played while a walker is heard, tell them to [Sound.Played]; where an
// accelerometer is worn meanwhile, give its rows to [Sound.Feel]. [Sound.Watch]
// shows what is believed from frame to frame, for pictures.
//
// # Limits
//
// Sound from 2 to 400 kHz, cadences from [Slowest] to [Fastest]; an
// accelerometer from some 20 rows a second. One detector follows one walker.
// What keeps a beat within those cadences, such as a drum loop, may pass for a
// walk. After the first seconds Feed allocates nothing, and its cost does not
// grow with time.
//
// # Methods
//
// The evidence is the rise of log energy in bands against the maximum of what
// came before, of the family of the SuperFlux of S. Böck, F. Krebs and M. Schedl
// (ISMIR 2012, as coded in CPJKU/SuperFlux), but in third octaves, over 165 ms
// and in units of what is usual in each band. The filter
// follows tempo and phase together as F. Krebs, S. Böck and G. Widmer, "An
// efficient state-space model for joint tempo and meter tracking", ISMIR 2015,
// do, in semi-Markov form and with an idle state; its likelihoods are learned as
// it goes. Step and stride regularity of motion are those of R. Moe-Nilssen and
// J. L. Helbostad, J Biomech 37 (2004) 121; the symmetry index is that of R. O.
// Robinson, W. Herzog and B. M. Nigg, 1987. How well all this works is measured
// by the rules of MIREX's onset task in package detect/score, on walks made by
// package detect/made.
package detect

import "fmt"

// Side tells which foot a step belongs to.
type Side uint8

// The two feet take turns, and within one unbroken stretch of walking each
// keeps its name. One microphone cannot tell which of the two is the left one
// of the body: the first step of a stretch gets the name the caller asked for.
const (
	Unknown Side = iota
	Left
	Right
)

// String returns "left", "right" or "unknown".
func (s Side) String() string {
	switch s {
	case Left:
		return "left"
	case Right:
		return "right"
	}
	return "unknown"
}

// MarshalText implements encoding.TextMarshaler with the words of String.
func (s Side) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler; it refuses other words.
func (s *Side) UnmarshalText(b []byte) error {
	switch string(b) {
	case "left":
		*s = Left
	case "right":
		*s = Right
	case "unknown", "":
		*s = Unknown
	default:
		return fmt.Errorf("side %q: want left, right or unknown", b)
	}
	return nil
}

// Other returns the other foot; Unknown stays Unknown.
func (s Side) Other() Side {
	switch s {
	case Left:
		return Right
	case Right:
		return Left
	}
	return Unknown
}

// Step is one footfall.
type Step struct {
	T          float64 `json:"t"`          // time of first contact, s
	Side       Side    `json:"side"`       // which foot
	Confidence float64 `json:"confidence"` // belief that a step happened here, 0 to 1
	Heard      bool    `json:"heard"`      // or felt by a sensor; false: bridged, placed where the rhythm expects it
}

// State says what the detector believes is going on.
type State uint8

// NotWalking: no rhythm is present. Walking: the filter follows one.
// CannotHear: the input is lost or dead (digital silence, clipped, a hole), so
// nothing can be said about the walker.
const (
	NotWalking State = iota
	Walking
	CannotHear
)

// String returns "not walking", "walking" or "cannot hear".
func (s State) String() string {
	switch s {
	case Walking:
		return "walking"
	case CannotHear:
		return "cannot hear"
	}
	return "not walking"
}

// MarshalText implements encoding.TextMarshaler with the words of String.
func (s State) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler; it refuses other words.
func (s *State) UnmarshalText(b []byte) error {
	switch string(b) {
	case "not walking":
		*s = NotWalking
	case "walking":
		*s = Walking
	case "cannot hear":
		*s = CannotHear
	default:
		return fmt.Errorf("state %q: want walking, not walking or cannot hear", b)
	}
	return nil
}

// Rhythm is the state of the walk at one time, over the last few seconds.
// It is given every half second, whether anyone walks or not.
type Rhythm struct {
	T           float64 `json:"t"`                     // s
	State       State   `json:"state"`                 //
	Cadence     float64 `json:"cadence,omitempty"`     // steps/min; 0 unless Walking
	CadenceSD   float64 `json:"cadence_sd,omitempty"`  // standard error of Cadence, steps/min
	Unevenness  float64 `json:"unevenness,omitempty"`  // symmetry index of left and right step times, %, right minus left
	Variability float64 `json:"variability,omitempty"` // coefficient of variation of stride time, %
	Heard       float64 `json:"heard"`                 // share of the recent steps that were heard, not bridged, 0 to 1
}

// Gap is a stretch in which no step could be placed. It is given when it ends.
type Gap struct {
	T      float64 `json:"t"`      // start, s
	Length float64 `json:"length"` // s
	Reason string  `json:"reason"` // GapStopped, GapDeaf or GapLost
}

// Reasons of a gap.
const (
	GapStopped = "not walking" // the walker stood still, or nobody was there
	GapDeaf    = "cannot hear" // there was input, but nothing in it to go by
	GapLost    = "input lost"  // samples or rows are missing
)

// Kind tells which field of an Event is set.
type Kind uint8

// The kinds of event a detector gives.
const (
	KindStep Kind = iota + 1
	KindRhythm
	KindGap
)

// Event is one thing a detector has to say; only the field named by Kind is set.
type Event struct {
	Kind   Kind
	Step   Step
	Rhythm Rhythm
	Gap    Gap
}

// Slowest and Fastest bound the cadence that is followed, in steps/min.
const (
	Slowest = 90.0
	Fastest = 240.0
)
