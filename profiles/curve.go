package profiles

import "fmt"

// Point is the step length at one cadence.
type Point struct {
	Cadence float64 `toml:"cadence" json:"cadence,omitempty"` // steps/min
	Length  float64 `toml:"length" json:"length"`             // m
}

// Curve is step length as a function of cadence: straight lines between points
// of rising cadence, constant outside them. One point is a constant, whatever
// its cadence. The empty curve means that the step length is not known.
type Curve []Point

// Constant returns the curve of one step length in m.
func Constant(length float64) Curve { return Curve{{Length: length}} }

// Length returns the step length in m at a cadence in steps/min, 0 for the
// empty curve.
func (c Curve) Length(cadence float64) float64 {
	if len(c) == 0 {
		return 0
	}
	if cadence <= c[0].Cadence {
		return c[0].Length
	}
	for i := 1; i < len(c); i++ {
		if a, b := c[i-1], c[i]; cadence <= b.Cadence {
			return a.Length + (b.Length-a.Length)*(cadence-a.Cadence)/(b.Cadence-a.Cadence)
		}
	}
	return c[len(c)-1].Length
}

// Bounds of the cadence that a pace is turned into, in steps/min; wider than
// anyone walks, so that the caller can say what was asked for.
const (
	lowestCadence  = 1
	highestCadence = 2000
)

// Cadence returns the cadence in steps/min that gives a pace in s/km on this
// curve: the one where cadence · length = 60·1000/pace. It returns 0 when there
// is none from 1 to 2000 steps/min, or the curve is empty. The curve must have
// passed Check, which makes the answer unique.
func (c Curve) Cadence(pace float64) float64 {
	if len(c) == 0 || !(pace > 0) {
		return 0
	}
	want := 60 * 1000 / pace // m/min
	if len(c) == 1 {
		return want / c[0].Length
	}
	lo, hi := float64(lowestCadence), float64(highestCadence)
	if lo*c.Length(lo) > want || hi*c.Length(hi) < want {
		return 0
	}
	for {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			return hi
		}
		if mid*c.Length(mid) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
}

// Check tells what is wrong with the curve: lengths outside 0.3 to 2 m,
// cadences outside 60 to 300 steps/min or not rising, or a length that falls so
// steeply that a higher cadence would be slower.
func (c Curve) Check() error {
	_, err := c.check()
	return err
}

// check also returns the index of the point at fault.
func (c Curve) check() (int, error) {
	for i, p := range c {
		if !within(p.Length, minLength, maxLength) {
			return i, fmt.Errorf("step length is %v m; allowed: %v to %v m; measure it: a known distance divided by its steps", p.Length, minLength, maxLength)
		}
		if len(c) > 1 && !within(p.Cadence, 60, 300) {
			return i, fmt.Errorf("cadence of a step length is %v steps/min; allowed: 60 to 300; count both feet", p.Cadence)
		}
		if i == 0 {
			continue
		}
		q := c[i-1]
		if !(p.Cadence > q.Cadence) {
			return i, fmt.Errorf("cadence %v follows %v; allowed: rising from point to point; sort the points and keep one for each cadence", p.Cadence, q.Cadence)
		}
		// Speed is cadence · length; on a straight piece it rises everywhere
		// when it rises at both ends.
		slope := (p.Length - q.Length) / (p.Cadence - q.Cadence)
		if !(q.Length+slope*q.Cadence > 0 && p.Length+slope*p.Cadence > 0) {
			return i, fmt.Errorf("step length falls from %v m at %v to %v m at %v steps/min; allowed: cadence times length must rise; check the two lengths", q.Length, q.Cadence, p.Length, p.Cadence)
		}
	}
	return 0, nil
}

// within is false for NaN too.
func within(x, lo, hi float64) bool { return x >= lo && x <= hi }
