package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Taps is the pass that a coach tapped along: a tap for each step seen, at times
// in s, and the times at which the walker passed the first and the second cone.
// Steps are not counted tap by tap: the taps are laid on an even grid, on which
// a missed tap leaves a place empty and a doubled one shares a place, and the
// grid's period says how many steps fit between the cones. coneSD is how well
// the cones were hit, in s.
func Taps(taps []float64, first, second, distance, distanceSD, coneSD float64) (Pass, Tapping, error) {
	t, err := tapping(taps)
	if err != nil {
		return Pass{}, t, err
	}
	if !(second > first) {
		return Pass{}, t, fmt.Errorf("the second cone was passed before the first")
	}
	time := second - first
	steps := time / t.Period.Value
	p := Pass{Distance: distance, DistanceSD: distanceSD, Time: time, TimeSD: math.Sqrt2 * coneSD, Steps: steps,
		StepsSD: steps * math.Hypot(t.Period.SD/t.Period.Value, math.Sqrt2*coneSD/time)}
	return p, t, p.Check()
}

// Tapping is how a row of taps was understood.
type Tapping struct {
	Period  Value   // of a step, s
	Jitter  float64 // SD of the taps around the grid, s
	Used    int     // taps that fit
	Missed  int     // places without a tap
	Doubled int     // taps that share a place, or are far off theirs
}

const (
	leastTaps = 8
	offBeat   = 0.4 // of a period: a tap farther from its place is no tap of that step
	noRhythm  = 0.2 // of a period: taps that scatter more keep none; people's scatter by less than 0.1
)

// tapping lays taps on a grid. Each tap's place is the last one's plus the time
// since then in rounded periods; the period is fitted to all of them and the
// places are counted again with it, until they stay.
func tapping(taps []float64) (Tapping, error) {
	if len(taps) < leastTaps {
		return Tapping{}, fmt.Errorf("%d taps are too few to find a rhythm; tap at least %d steps", len(taps), leastTaps)
	}
	period, err := firstPeriod(taps)
	if err != nil {
		return Tapping{}, err
	}
	var t Tapping
	for range 10 {
		place, time, doubled := lay(taps, period)
		if len(place) < leastTaps {
			return t, fmt.Errorf("the taps keep no rhythm; tap every step, both feet, as evenly as you can")
		}
		fit, err := fitLine(place, time)
		if err != nil {
			return t, err
		}
		done := math.Abs(fit.Slope.Value-period) < 1e-9*period
		period = fit.Slope.Value
		t = Tapping{Period: fit.Slope, Jitter: fit.Scatter, Used: len(place), Doubled: doubled}
		t.Missed = int(place[len(place)-1]-place[0]) + 1 - len(place)
		if done {
			break
		}
	}
	if t.Jitter > noRhythm*period || t.Missed > t.Used {
		return t, fmt.Errorf("the taps keep no rhythm (they scatter by %.0f ms); tap every step, both feet, as evenly as you can", 1000*t.Jitter)
	}
	return t, nil
}

// firstPeriod is the median interval, with doubled taps left out.
func firstPeriod(taps []float64) (float64, error) {
	var d []float64
	for i := 1; i < len(taps); i++ {
		if !(taps[i] >= taps[i-1]) {
			return 0, fmt.Errorf("the taps are not in order of time")
		}
		if gap := taps[i] - taps[i-1]; gap > 0.15 { // 400 a minute: nobody steps so quickly
			d = append(d, gap)
		}
	}
	if len(d) == 0 {
		return 0, fmt.Errorf("the taps are all at one time")
	}
	return median(d), nil
}

// lay gives each tap its place. One that shares a place with the tap before, or
// is far from where a step is due, is left out.
func lay(taps []float64, period float64) (place, time []float64, doubled int) {
	// The grid's start and period follow the taps, so that a rhythm that drifts,
	// or a first guess that is a little off, does not slip by a step.
	at, k := taps[0], 0.0
	for i, t := range taps {
		n := math.Round((t - at) / period)
		off := (t - at) - n*period
		if i > 0 && (n < 1 || math.Abs(off) > offBeat*period) {
			doubled++
			continue
		}
		k += n
		place, time = append(place, k), append(time, t)
		at += n*period + 0.3*off
		period += 0.05 * off / max(n, 1)
	}
	return place, time, doubled
}

// fitted is a straight line through points, with what it is worth.
type fitted struct {
	Intercept, Slope Value
	Scatter          float64 // SD of the residuals, n - 2
	R2               float64
}

// fitLine is ordinary least squares with standard errors.
func fitLine(x, y []float64) (fitted, error) {
	n := float64(len(x))
	a, b := stat.LinearRegression(x, y, nil, false)
	mean := stat.Mean(x, nil)
	var sxx, rss float64
	for i := range x {
		sxx += (x[i] - mean) * (x[i] - mean)
		r := y[i] - a - b*x[i]
		rss += r * r
	}
	if n < 3 || !(sxx > 0) {
		return fitted{}, fmt.Errorf("%d points, or points all at one place, make no line", len(x))
	}
	s := math.Sqrt(rss / (n - 2))
	return fitted{
		Intercept: Value{a, s * math.Sqrt(1/n+mean*mean/sxx)},
		Slope:     Value{b, s / math.Sqrt(sxx)},
		Scatter:   s,
		R2:        stat.RSquared(x, y, nil, a, b),
	}, nil
}
