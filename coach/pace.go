package coach

import (
	"fmt"
	"math"

	"steadfoot/profiles"
)

// A walker's speed is cadence · step length, so of pace, cadence and step
// length any two give the third:
//
//	pace = 1000 · 60 / (cadence · length)
//
// with pace in s/km, cadence in steps/min and length in m.

// PaceOf returns the pace in s/km of a cadence in steps/min and a step length
// in m; 0 unless both are positive.
func PaceOf(cadence, length float64) float64 { return third(cadence, length) }

// CadenceOf returns the cadence in steps/min that gives a pace in s/km at a
// step length in m; 0 unless both are positive.
func CadenceOf(pace, length float64) float64 { return third(pace, length) }

// LengthOf returns the step length in m that gives a pace in s/km at a cadence
// in steps/min; 0 unless both are positive.
func LengthOf(pace, cadence float64) float64 { return third(pace, cadence) }

// third works for all of them: pace · cadence · length is 60 000, always.
func third(a, b float64) float64 {
	if !(a > 0 && b > 0) {
		return 0
	}
	return 60 * 1000 / (a * b)
}

// ParsePace reads a pace written as minutes and seconds for a kilometre
// ("5:10", "5:10.5") or as seconds ("310") and returns it in s/km. It allows
// 2:00 to 20:00.
func ParsePace(s string) (float64, error) { return profiles.ParsePace(s) }

// FormatPace writes a pace in s/km as minutes and seconds, to the nearest
// second: 310.4 is "5:10". It gives "-" for anything that is no pace, as the 0
// of a walker who stands.
func FormatPace(pace float64) string {
	if !(pace > 0 && pace < 100*3600) {
		return "-"
	}
	s := int(math.Round(pace))
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
