// Package sensor reads the rows of an accelerometer, as CSV or JSON Lines, one
// at a time as they come.
//
// A stream says by its column names what it holds:
//
//	t,ax,ay,az                      unit as the caller says, m/s² when it does not
//	t_s,ax_mps2,ay_mps2,az_mps2     m/s²
//	t_s,ax_g,ay_g,az_g              multiples of standard gravity
//	t_s,mag_raw                     magnitude only, in a unit nobody knows
//
// Time is in seconds. In CSV the first line is the header; more columns, in any
// order, are passed over, and so are empty lines and lines that start with #. In
// JSON Lines every line is an object with these names as keys.
//
// Sampling may be irregular. A row whose time is not later than that of the row
// before it is left out, and so is a row with a value that is missing or not
// finite; [Reader.Warnings] counts them. Anything else that is not as it should
// be is an error with the number of the line.
package sensor

import "fmt"

// Row is one measurement.
type Row struct {
	T       float64 // s, on the sensor's clock
	X, Y, Z float64 // m/s², gravity as the sensor gives it; see Reader.MagnitudeOnly
}

// Unit is the unit of acceleration in a stream.
type Unit string

// The units of a stream; Raw is known from its header only.
const (
	MPS2 Unit = "mps2"
	G    Unit = "g"
	Raw  Unit = "raw"
)

// standardGravity in m/s² is exact by definition (3rd CGPM, 1901).
const standardGravity = 9.80665

// ParseUnit reads "mps2" or "g".
func ParseUnit(s string) (Unit, error) {
	switch u := Unit(s); u {
	case MPS2, G:
		return u, nil
	}
	return "", fmt.Errorf("unit %q: want mps2 or g", s)
}

func (u Unit) factor() float64 {
	if u == G {
		return standardGravity
	}
	return 1
}
