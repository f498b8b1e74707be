package rsc

import (
	"fmt"
	"math"
)

// Unit says what a sensor counts as cadence.
type Unit string

// Steps counts both feet, Strides one of them.
const (
	Steps   Unit = "steps"
	Strides Unit = "strides"
)

// ParseUnit reads "steps" or "strides".
func ParseUnit(s string) (Unit, error) {
	switch u := Unit(s); u {
	case Steps, Strides:
		return u, nil
	}
	return "", fmt.Errorf("unit %q: want steps or strides", s)
}

// Other is the other unit.
func (u Unit) Other() Unit {
	if u == Strides {
		return Steps
	}
	return Strides
}

// factor is the number of steps in one of the unit.
func (u Unit) factor() float64 {
	if u == Strides {
		return 2
	}
	return 1
}

// Cadence turns a cadence in 1/min of the unit into steps/min. It goes up to
// 510 for strides: it does not wrap where a byte would.
func (u Unit) Cadence(perMinute float64) float64 { return u.factor() * perMinute }

// CadenceSD is the standard error of a cadence in steps/min: that of rounding
// to 1/min of the unit, 1/√12 of the resolution. The sensor's own error is not
// known.
func (u Unit) CadenceSD() float64 { return u.factor() / math.Sqrt(12) }

// StepLength is the step length in m that speed and cadence of m give, speed
// divided by cadence; 0 where either is 0.
func (u Unit) StepLength(m Measurement) float64 {
	if m.Cadence == 0 {
		return 0
	}
	return m.Speed * 60 / u.Cadence(float64(m.Cadence))
}
