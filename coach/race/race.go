// Package race does the arithmetic of a race or a rep to be walked: which
// cadence, step length and pace go together, the splits they give, and what one
// centimetre or one step a minute is worth.
//
// Speed is step length times cadence, so of pace, cadence and step length any
// two give the third ([Solve]). A step is from one foot's heel contact to the
// other's; in race walking 'stride length' is often said of one step.
package race

import (
	"errors"
	"fmt"

	"steadfoot/coach"
	"steadfoot/profiles"
)

// Goal is what is to be walked. Pace, Cadence and StepLength belong together.
type Goal struct {
	Pace       float64 // s/km
	Cadence    float64 // steps/min
	StepLength float64 // m
	Distance   float64 // m; 0 when it is not known
	Lap        float64 // m, one lap in the walker's lane
	// Curve is the walker's own step length against cadence, empty when it is
	// not known. It says how another pace than Pace would be walked.
	Curve profiles.Curve
}

// Limits of what is worked out: wider than anyone races, so that the answer to
// a wish that cannot be walked is a figure and not a refusal.
const (
	leastCadence, mostCadence = 60, 300   // steps/min
	leastLength, mostLength   = 0.3, 2    // m
	leastPace, mostPace       = 120, 1200 // s/km
)

// Solve fills in what is missing of pace (s/km), cadence (steps/min) and step
// length (m): exactly one of them is 0. Where two are 0 and curve is known, it
// gives the step length. It fails when there is too little or too much to go by,
// or what comes out is out of range.
func Solve(pace, cadence, length float64, curve profiles.Curve) (Goal, error) {
	given := 0
	for _, v := range []float64{pace, cadence, length} {
		if v > 0 {
			given++
		}
	}
	if given == 3 {
		return Goal{}, errors.New("pace, cadence and step length are all given; give two, the third follows")
	}
	if given == 1 && len(curve) > 0 && length == 0 {
		if cadence == 0 {
			cadence = curve.Cadence(pace)
		}
		length = curve.Length(cadence)
		if pace > 0 {
			cadence = 0
		}
		given++
	}
	if given < 2 {
		return Goal{}, errors.New("two of pace, cadence and step length are needed, or one of pace and cadence with the profile of a walker whose step length is known")
	}
	switch {
	case pace == 0:
		pace = coach.PaceOf(cadence, length)
	case cadence == 0:
		cadence = coach.CadenceOf(pace, length)
	default:
		length = coach.LengthOf(pace, cadence)
	}
	for _, v := range []struct {
		name, unit    string
		value, lo, hi float64
	}{
		{"pace", "s/km", pace, leastPace, mostPace},
		{"cadence", "steps/min", cadence, leastCadence, mostCadence},
		{"step length", "m", length, leastLength, mostLength},
	} {
		if !(v.value >= v.lo && v.value <= v.hi) {
			return Goal{}, fmt.Errorf("that makes a %s of %.4g %s; possible: %v to %v; check the other two", v.name, v.value, v.unit, v.lo, v.hi)
		}
	}
	return Goal{Pace: pace, Cadence: cadence, StepLength: length, Curve: curve}, nil
}

// Time is the time of the race in s; 0 when there is no distance.
func (g Goal) Time() float64 { return g.Pace * g.Distance / 1000 }

// Speed is in m/s.
func (g Goal) Speed() float64 { return 1000 / g.Pace }

// Steps is how many steps the distance takes, with their fraction.
func (g Goal) Steps() float64 { return g.Distance / g.StepLength }

// LapSteps is how many steps a lap takes, LapTime how long, in s.
func (g Goal) LapSteps() float64 { return g.Lap / g.StepLength }

// LapTime is the time of a lap in s.
func (g Goal) LapTime() float64 { return g.Pace * g.Lap / 1000 }

// at is the cadence and step length of this walker at another pace: by the
// curve, scaled so that it goes through the goal, and without one by the same
// step length.
func (g Goal) at(pace float64) (cadence, length float64) {
	length = g.StepLength
	if own := g.Curve.Length(g.Curve.Cadence(pace)); own > 0 {
		length *= own / g.Curve.Length(g.Curve.Cadence(g.Pace))
	}
	return coach.CadenceOf(pace, length), length
}
