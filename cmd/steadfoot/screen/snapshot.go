// Package screen is what a terminal shows during a walk, and the keys that are
// pressed there.
//
// [Model] is the pure part: a [Snapshot] and a size give lines of text. [Start]
// runs it on a terminal at ten frames a second, in goroutines of its own; the
// walk hands over a Snapshot with [Screen.Show] whenever it likes, which never
// waits. What the keys ask for goes back through [Wishes].
package screen

// State says where the walk stands.
type State uint8

// The states. Listening: the walker walks, but the cadence is not yet certain.
// Free: nothing is asked of the walker.
const (
	Waiting State = iota
	Listening
	InBand
	TooSlow
	TooQuick
	Standing
	Deaf
	Ended
	Free
)

// Snapshot is the walk at one moment, in plain values: zero and "" are
// unknown. Any value can be shown; what makes no sense is shown as unknown.
type Snapshot struct {
	Time     float64 // of the session, s
	Athlete  string
	Label    string  // of the walk or its plan
	Distance float64 // m

	State      State
	Paused     bool
	Cadence    float64 // steps/min
	CadenceSD  float64 // its standard error, steps/min
	Target     float64 // steps/min; 0: the walker is free
	Low, High  float64 // the band, steps/min
	Pace       float64 // s/km
	TargetPace float64 // s/km
	Unevenness float64 // right step time minus left, % of their mean

	Part Part
	Next Part    // with Role "" when nothing follows
	Done float64 // of the part, 0 to 1
	Left float64 // of the part, m when it has a Length, otherwise s

	Group  Group
	Beat   Beat
	Volume float64 // of all sound, 0 to 1
	Said   string  // the last cue
	SaidAt float64 // s

	Heard   float64 // share of the recent steps that were heard, 0 to 1
	Trouble string  // why none are, when that is known

	Fault   string  // the last one
	FaultAt float64 // s
	Log     string  // what is wrong with the log
}

// Part is a part of the session.
type Part struct {
	Role     string  // "rep", "recovery" and so on
	Label    string  // the coach's word for it
	Set      int     // from 1; 0 outside of sets
	Rep, Of  int     // within its set, from 1
	Length   float64 // planned, m
	Duration float64 // planned, s
}

// Beat is the beat in the ear.
type Beat struct {
	On      bool    // the walker wants it
	Playing bool    // it sounds now
	Mode    string  // "steady" and so on
	Level   float64 // dB against the volume, 0 or less
}

// Group is the group that is walked with; with Name "" there is none.
type Group struct {
	Name   string
	Lost   bool    // its leader cannot be reached
	Paused bool    // by the leader
	Clock  float64 // how far its clock may be off here, ms; 0: not known yet
	Off    float64 // mean time of the steps after the beat, ms
	R      float64 // how closely they keep to that, 0 to 1
	Steps  int     // that these are of; 0: none
}
