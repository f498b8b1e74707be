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
//	latency_ms = 160.0      # from the program to the ear, of these earbuds
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
//	foot = "both"           # or "left", "right": one beat every second step
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
	Volume     float64 // 0 to 1
	LatencyMS  float64 // delay of the sound on its way to the ear, ms
	FirstFoot  Foot    // foot of the first step: Left, Right or "" for not known
}

// Target is what the athlete wants to walk: a cadence or a pace, never both.
type Target struct {
	Cadence float64 // steps/min; 0 when the target is a pace
	Pace    float64 // s/km; 0 when the target is a cadence
}

// Beat is the choice of beat.
type Beat struct {
	On   bool
	Foot Foot // Both: a beat every step; Left or Right: every second step
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
func Defaults() Athlete {
	return Athlete{
		Band:   Band{Slow: 4, Quick: 4},
		Beat:   Beat{On: true, Foot: Both},
		Volume: 0.3,
	}
}
