// Package measure finds a walker's step length from steps counted over a known
// distance, and how it changes with cadence.
//
// A [Pass] is one stretch walked: how far, how many steps, how long, each with
// its own uncertainty. Steps come from a count ([Counted]), from heard steps
// between two marks ([Between]), or from taps of a coach at the trackside
// ([Taps]). Several passes at different speeds give the walker's own line of step
// length against cadence ([FitLine]).
//
// A step is from one foot's heel contact to the other's.
package measure

import (
	"errors"
	"fmt"
	"math"

	"steadfoot/profiles"
)

// Pass is one stretch of known length. Uncertainties are standard deviations.
type Pass struct {
	Distance, DistanceSD float64 // m
	Steps, StepsSD       float64 // with their fraction, when it is known
	Time, TimeSD         float64 // s; 0 when it was not taken
}

// Value is a figure with its standard deviation.
type Value struct{ Value, SD float64 }

// Interval returns the ends of the 95 % interval, by the normal distribution.
func (v Value) Interval() (lo, hi float64) { return v.Value - 1.96*v.SD, v.Value + 1.96*v.SD }

// Limits of a pass that makes sense.
const (
	leastSteps   = 10 // below, an error of one step is more than 10 %
	shortestPass = 5.0
)

// Check names what is wrong with the pass.
func (p Pass) Check() error {
	switch {
	case !(p.Steps >= leastSteps && p.Steps < 1e6):
		return fmt.Errorf("%.4g steps are too few to measure a step length; walk at least %d, better 100", p.Steps, leastSteps)
	case !(p.Distance >= shortestPass && p.Distance < 1e6):
		return fmt.Errorf("%g m is no distance to measure a step length over; take at least %g m, better a lap", p.Distance, shortestPass)
	case p.Time < 0 || p.Time != p.Time:
		return errors.New("a time cannot be negative")
	}
	for _, sd := range []float64{p.DistanceSD, p.StepsSD, p.TimeSD} {
		if !(sd >= 0 && sd < 1e6) {
			return errors.New("an uncertainty cannot be negative")
		}
	}
	if l := p.Distance / p.Steps; !(l >= 0.3 && l <= 2) {
		return fmt.Errorf("%g m in %.1f steps make steps of %.2f m; possible: 0.3 to 2 m; were both feet counted, and is the distance right?", p.Distance, p.Steps, l)
	}
	if c := p.Cadence().Value; p.Time > 0 && !(c >= 60 && c <= 300) {
		return fmt.Errorf("%.1f steps in %.1f s make %.0f steps/min; possible: 60 to 300; were both feet counted, and is the time right?", p.Steps, p.Time, c)
	}
	return nil
}

// Length is the step length, m. Relative errors of distance and count add as
// squares.
func (p Pass) Length() Value {
	l := p.Distance / p.Steps
	return Value{l, l * math.Hypot(p.DistanceSD/p.Distance, p.StepsSD/p.Steps)}
}

// Cadence is in steps/min, 0 when the time was not taken.
func (p Pass) Cadence() Value {
	if p.Time == 0 {
		return Value{}
	}
	c := 60 * p.Steps / p.Time
	return Value{c, c * math.Hypot(p.StepsSD/p.Steps, p.TimeSD/p.Time)}
}

// Pace is in s/km, 0 when the time was not taken.
func (p Pass) Pace() Value {
	if p.Time == 0 {
		return Value{}
	}
	v := p.Time / p.Distance * 1000
	return Value{v, v * math.Hypot(p.DistanceSD/p.Distance, p.TimeSD/p.Time)}
}

// rounding is the SD of what is rounded to a whole number: 1/sqrt(12).
const rounding = 0.2887

// Counted is a pass of whole steps counted by a person. At both ends a foot is
// somewhere within its step, which makes the SD of the count √2·0.29; miscounts
// come on top: give their SD as slips, 0 when the count is sure.
func Counted(distance, distanceSD float64, steps int, slips float64) Pass {
	return Pass{Distance: distance, DistanceSD: distanceSD, Steps: float64(steps), StepsSD: math.Hypot(math.Sqrt2*rounding, slips)}
}

// Treadmill is a pass on a belt that ran at speed (m/s, ± speedSD) for a time in
// s (± timeSD).
func Treadmill(speed, speedSD, time, timeSD float64, steps int, slips float64) Pass {
	d := speed * time
	p := Counted(d, d*math.Hypot(speedSD/speed, timeSD/time), steps, slips)
	p.Time, p.TimeSD = time, timeSD
	return p
}

// Curve is the step length of one pass, or the line of several, as a profile
// has it.
func (p Pass) Curve() profiles.Curve { return profiles.Constant(p.Length().Value) }
