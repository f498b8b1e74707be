// Package units reads and writes lengths, distances, times and paces as people
// type and say them: in metres and kilometres, or in feet, inches and miles.
//
// Everything inside the program is metric (m, s, s/km); a [System] is only how
// it is shown, and what a bare number means when it is read.
package units

import "fmt"

// System is metric or imperial.
type System uint8

// The systems.
const (
	Metric System = iota
	Imperial
)

// The inch and what is made of it, in m (international yard and pound agreement
// of 1959; from memory).
const (
	Inch = 0.0254
	Foot = 12 * Inch
	Mile = 5280 * Foot
	Km   = 1000.0
)

// ParseSystem reads "metric" or "imperial".
func ParseSystem(s string) (System, error) {
	switch s {
	case "metric":
		return Metric, nil
	case "imperial":
		return Imperial, nil
	}
	return Metric, fmt.Errorf("units %q: want metric (m, km) or imperial (feet and inches, miles)", s)
}

// String returns "metric" or "imperial".
func (s System) String() string {
	if s == Imperial {
		return "imperial"
	}
	return "metric"
}

// Long is the unit of a pace, in m, and its sign: the km or the mile.
func (s System) Long() (metres float64, sign string) {
	if s == Imperial {
		return Mile, "mi"
	}
	return Km, "km"
}
