package cue

import (
	"fmt"
	"math"

	"steadfoot/audio"
)

// The sound exposure of a week that is held to be safe for the ears of adults,
// and of children, in Pa²h: 80 dB(A) for 40 h, and 75 dB(A) (ITU-T H.870).
const (
	WeeklyDose      = 1.6
	WeeklyDoseChild = 0.506
)

// reference is the square of 20 µPa, the sound pressure of 0 dB, Pa².
const reference = 20e-6 * 20e-6

// Dose adds up the A-weighted energy of what is played. It knows only what was
// sent to the earbuds: what it says about ears is an estimate, as good as the
// level it was given, and leaves out all other sound of the day.
type Dose struct {
	level   float64 // dB(A)
	ears    [2]aWeight
	sum     [2]float64 // of squared samples
	frames  int64
	silence int // frames since the last that was not zero
}

// NewDose makes an empty dose. levelAtFull is the level at the ear of a 1 kHz
// sine at digital full scale, in dB(A), measured by the user with the device's
// volume as it is worn; 0 when it is not known. It fails outside of 40 to 160.
func NewDose(levelAtFull float64) (*Dose, error) {
	if levelAtFull != 0 && !(levelAtFull >= 40 && levelAtFull <= 160) {
		return nil, fmt.Errorf("cue: level %g dB(A) at full scale is not between 40 and 160", levelAtFull)
	}
	return &Dose{level: levelAtFull, ears: [2]aWeight{newAWeight(), newAWeight()}}, nil
}

// ringing is how long the filters are run after the last sound, in frames.
const ringing = audio.Rate / 2

// Add takes what was rendered. It allocates nothing.
func (d *Dose) Add(frames []audio.Frame) {
	d.frames += int64(len(frames))
	for _, f := range frames {
		switch {
		case f != audio.Frame{}:
			d.silence = 0
		case d.silence < ringing:
			d.silence++
		default: // at rest; what still rings is under -100 dB
			continue
		}
		for k := range d.ears {
			y := d.ears[k].next(float64(f[k]))
			d.sum[k] += y * y
		}
		if d.silence == ringing {
			d.ears[0].rest()
			d.ears[1].rest()
		}
	}
}

// Seconds is how long the sound added lasts, s.
func (d *Dose) Seconds() float64 { return float64(d.frames) / audio.Rate }

// LevelDB is the A-weighted level over all of it in the louder ear, in dB
// against a 1 kHz sine at full scale; -Inf for silence.
func (d *Dose) LevelDB() float64 {
	if d.frames == 0 {
		return math.Inf(-1)
	}
	const sine = 0.5 // mean square of a sine at full scale
	return 10 * math.Log10(max(d.sum[0], d.sum[1])/float64(d.frames)/sine)
}

// Estimate is the sound exposure of the louder ear in Pa²h. It is false when the
// level at full scale is not known.
func (d *Dose) Estimate() (pa2h float64, ok bool) {
	if d.level == 0 || d.frames == 0 {
		return 0, d.level != 0
	}
	return exposure(d.level+d.LevelDB(), d.Seconds()/3600), true
}

// Share is the estimate as a part of WeeklyDose, 1 for all of it.
func (d *Dose) Share() (share float64, ok bool) {
	pa2h, ok := d.Estimate()
	return pa2h / WeeklyDose, ok
}

// exposure is the sound exposure of hours at a level in dB(A), Pa²h.
func exposure(level, hours float64) float64 {
	return reference * math.Pow(10, level/10) * hours
}

// SafeHours is how many hours a week at a level in dB(A) use up WeeklyDose: 40 at
// 80 dB(A) and half as many with each 3 dB more, as the tables have it. Exactly
// equal energy would be 3.01 dB; at 95 dB(A) that makes 1 %.
func SafeHours(level float64) float64 { return 40 * math.Pow(2, (80-level)/3) }
