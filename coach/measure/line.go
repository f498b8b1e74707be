package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"steadfoot/profiles"
)

// Line is a walker's step length against cadence: length = at + slope·cadence.
type Line struct {
	Slope     Value   // m for one step/min
	Intercept Value   // m
	Scatter   float64 // SD of the passes around the line, m
	R2        float64 // share of the variance that the line explains
	Passes    int
	// From and To are the cadences of the slowest and quickest pass, steps/min:
	// the line says nothing outside of them.
	From, To float64
	mean     float64 // cadence, steps/min
	sxx      float64
	Warnings []string
}

const (
	fewPasses  = 4   // below, the standard error of a line is hardly one
	alikeSpan  = 8.0 // steps/min between slowest and quickest, below which the slope is mostly noise
	leastLined = 3
)

// FitLine fits the line to passes by least squares (gonum/stat), each pass
// counted alike: what sets passes of one walker apart is mostly not the counting.
// It fails for fewer than 3 passes with a time, or all at one cadence.
func FitLine(passes []Pass) (Line, error) {
	var x, y []float64
	for _, p := range passes {
		if err := p.Check(); err != nil {
			return Line{}, err
		}
		if c := p.Cadence(); c.Value > 0 {
			x, y = append(x, c.Value), append(y, p.Length().Value)
		}
	}
	if len(x) < leastLined {
		return Line{}, fmt.Errorf("%d passes with a time are too few for a line of step length against cadence; walk at least %d, at different speeds", len(x), leastLined)
	}
	fit, err := fitLine(x, y)
	if err != nil {
		return Line{}, fmt.Errorf("all passes have the same cadence; walk some slower and some quicker")
	}
	l := Line{Slope: fit.Slope, Intercept: fit.Intercept, Scatter: fit.Scatter, R2: fit.R2, Passes: len(x), From: x[0], To: x[0]}
	for _, c := range x {
		l.From, l.To = min(l.From, c), max(l.To, c)
		l.mean += c / float64(len(x))
	}
	for _, c := range x {
		l.sxx += (c - l.mean) * (c - l.mean)
	}
	l.warn()
	return l, nil
}

func (l *Line) warn() {
	if l.Passes < fewPasses {
		l.Warnings = append(l.Warnings, fmt.Sprintf("only %d passes: take the line as a first guess, and add some", l.Passes))
	}
	if span := l.To - l.From; span < alikeSpan {
		l.Warnings = append(l.Warnings, fmt.Sprintf("the passes are too alike (cadence from %.0f to %.0f): the slope is mostly noise; add slower and quicker ones", l.From, l.To))
	}
	if l.Slope.SD > 0 && math.Abs(l.Slope.Value) < 2*l.Slope.SD {
		l.Warnings = append(l.Warnings, "the passes do not show that step length changes with cadence; one step length for all is as good")
	}
}

// At is the step length at a cadence in steps/min with the standard error of
// the line there.
func (l Line) At(cadence float64) Value {
	d := cadence - l.mean
	return Value{l.Intercept.Value + l.Slope.Value*cadence, l.Scatter * math.Sqrt(1/float64(l.Passes)+d*d/l.sxx)}
}

// Interval is the 95 % interval of the line at a cadence, by Student's t with
// n - 2 degrees of freedom, in m.
func (l Line) Interval(cadence float64) (lo, hi float64) {
	t := distuv.StudentsT{Sigma: 1, Nu: float64(l.Passes - 2)}.Quantile(0.975)
	v := l.At(cadence)
	return v.Value - t*v.SD, v.Value + t*v.SD
}

// Curve is the line as a profile has it: two points, at the ends of what was
// measured, to the millimetre. It fails where a profile cannot hold it.
func (l Line) Curve() (profiles.Curve, error) {
	round := func(x, to float64) float64 { return math.Round(x/to) * to }
	var c profiles.Curve
	for _, cadence := range []float64{round(l.From, 0.1), round(l.To, 0.1)} {
		c = append(c, profiles.Point{Cadence: cadence, Length: round(l.At(cadence).Value, 0.001)})
	}
	return c, c.Check()
}
