// Package profiles reads, checks and writes what is known of an athlete: a TOML
// file a person keeps by hand.
//
// [Parse] turns the bytes of a file into an [Athlete] or into one [Error] that
// names the file, the line and what to do; [Format] writes the file again.
// [Load] and [Find] read from an fs.FS, so the package itself opens nothing.
//
// A whole profile:
//
//	name = "Mira Tal"
//	volume = 0.4            # 0 silent, 1 as loud as the cap allows
//	latency_ms = 160.0      # of these earbuds, as 'steadfoot latency' measures it
//	level_at_full = 100.0   # dB(A) of a full-scale 1 kHz tone at the ear, if measured
//	first_foot = "left"     # the foot a walk starts with, when it is known
//
//	step_lengths = [        # or one value: step_length = 1.05
//	  { cadence = 180.0, length = 1.02 },
//	  { cadence = 200.0, length = 1.10 },
//	]
//
//	[target]
//	cadence = 192.0         # or pace = "5:10"
//
//	[band]
//	slow = 4.0              # allowed below the target
//	quick = 4.0             # allowed above it
//	unit = "steps/min"      # or "%"
//
//	[beat]
//	on = true
//	mode = "steady"         # or "lead", "follow", "on demand"
//	foot = "both"           # or "left", "right": one beat every second step
//	every = 1               # or 4: one beat every fourth step
//	accent = 0              # or 2 to 16: every so many-th beat is stronger
//	recoveries = false      # whether it goes on in recoveries
//	ahead_ms = 30.0         # how far before a beat the foot comes down
//
//	[cues]
//	layer = "speech"        # or "tones", or "lines": recordings of the coach
//	lines = "lines/dana"    # the folder with these recordings
//	cadence = false         # tell the cadence in digits now and then
//	uneven = 3.8            # left against right step time in % that is told; 0 never
//
//	[[measured]]            # added by 'steadfoot measure'; the step length, where
//	date = "2026-05-30"     # no other is given
//	cadence = 192.3
//	length = 1.068
//	length_sd = 0.004
//
// Only the name must be there; [Defaults] gives the rest.
package profiles

// Foot names a foot, or both.
type Foot string

// The values of Foot. The empty one means that it is not known.
const (
	Both  Foot = "both"
	Left  Foot = "left"
	Right Foot = "right"
)

// Athlete is one walker's profile.
type Athlete struct {
	Name       string
	StepLength Curve   // empty: not known, and then there is no pace
	Target     Target  // zero: none given
	Band       Band    // how far from the target is still right
	Beat       Beat    // what is played
	Cues       Cues    // what is said
	Volume     float64 // 0 to 1
	LatencyMS  float64 // delay of the sound on its way to the ear, ms
	// LevelAtFull is how loud a 1 kHz tone at digital full scale is at the ear, in
	// dB(A), by the user's own measurement; 0: not known, and then no dose is told.
	LevelAtFull float64
	FirstFoot   Foot // foot of the first step: Left, Right or "" for not known
	Measured    []Measured
}

// Target is what the athlete wants to walk: a cadence or a pace, never both.
type Target struct {
	Cadence float64 // steps/min; 0 when the target is a pace
	Pace    float64 // s/km; 0 when the target is a cadence
}

// Beat is the choice of beat.
type Beat struct {
	On         bool
	Mode       string  // how it goes with the walker: Steady and so on; "" counts as Steady
	Foot       Foot    // Both: a beat every step; Left or Right: every second step
	Every      int     // 1: a beat every step, 4: every fourth; 0 counts as 1
	Accent     int     // every so many-th beat is stronger, 2 to 16; 0: none is
	Recoveries bool    // it goes on in recoveries
	AheadMS    float64 // how far before a beat the foot usually comes down, 0 to 100 ms
}

// The values of Beat.Mode.
const (
	Steady = "steady"    // at the target, whatever the feet do
	Lead   = "lead"      // from where the walker is to the target, little by little
	Follow = "follow"    // with the feet, at a period that goes to the target
	Demand = "on demand" // only when the walker has left the band
)

// Cues is the choice of what is said, and how.
type Cues struct {
	Layer   string  // "tones", "speech" or "lines"
	Lines   string  // folder with the coach's recordings, as written in the profile; "" when there is none
	Cadence bool    // tell the cadence in digits after a correction
	Uneven  float64 // symmetry index of the step times from which unevenness is told, 1 to 20 %; 0: never
}

// Band is how far the cadence may be from the target.
type Band struct {
	Slow    float64 // allowed below the target, steps/min or % of the target
	Quick   float64 // allowed above the target, likewise
	Percent bool    // the unit is % of the target cadence
}

// StepsPerMin returns the two sides in steps/min around a target cadence in
// steps/min.
func (b Band) StepsPerMin(target float64) (slow, quick float64) {
	if b.Percent {
		return b.Slow / 100 * target, b.Quick / 100 * target
	}
	return b.Slow, b.Quick
}

// Defaults is the profile before anything is read: no name, no target, the beat
// on every step at a low volume, and a band of 4 steps/min on both sides.
//
// The band is about 2 % of a race walker's cadence. People notice a change of
// tempo from 1.5 to 3 % on (Drake and Botte 1993), so a much narrower band would
// ask for what the walker cannot feel.
//
// Feet come down some 20 to 80 ms before a beat in people who make no music,
// less before quick beats (Repp 2005, from memory); hence 30 ms. The limit of
// unevenness is a symmetry angle of 1.2 %, from which race walkers were called
// asymmetrical (Tucker and Hanley 2016): a symmetry index of 3.77 %.
func Defaults() Athlete {
	return Athlete{
		Band:   Band{Slow: 4, Quick: 4},
		Beat:   Beat{On: true, Mode: Steady, Foot: Both, Every: 1, AheadMS: 30},
		Cues:   Cues{Layer: layers[1], Uneven: 3.8},
		Volume: 0.3,
	}
}
