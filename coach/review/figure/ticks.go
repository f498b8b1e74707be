package figure

import (
	"cmp"
	"math"
	"strconv"

	"gonum.org/v1/plot"

	"steadfoot/coach/units"
)

// Ticks marks an axis at round numbers, all with as many decimals as it takes
// to tell them apart. The library's own cut 1.06 and 1.08 to 1.1.
type Ticks struct{ Most int } // Most is about how many marks there may be; 0 is 8

// Ticks implements [plot.Ticker] with half of Most to Most + 1 marks.
func (t Ticks) Ticks(lo, hi float64) []plot.Tick {
	if !(hi > lo) || math.IsInf(hi-lo, 0) {
		return []plot.Tick{{Value: lo, Label: strconv.FormatFloat(lo, 'g', 6, 64)}}
	}
	step := roundStep((hi - lo) / float64(cmp.Or(t.Most, 8)))
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	var out []plot.Tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+step*1e-9; k++ {
		v := k*step + 0 // no -0
		out = append(out, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', decimals, 64)})
	}
	return out
}

// timeSteps are the times between two marks, s.
var timeSteps = []float64{1, 2, 5, 10, 15, 20, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 14400}

// TimeTicks marks an axis of seconds at round times, written as m:ss, or h:mm:ss
// from an hour on. A pace in s/km is written the same.
type TimeTicks struct{ Most int } // Most is how many marks there may be; 0 is 8

// Ticks implements [plot.Ticker].
func (k TimeTicks) Ticks(lo, hi float64) []plot.Tick {
	if !(hi > lo) || math.IsInf(hi-lo, 0) {
		return []plot.Tick{{Value: lo, Label: units.Time(lo, 0)}}
	}
	most := float64(cmp.Or(k.Most, 8))
	step := timeSteps[len(timeSteps)-1]
	for _, s := range timeSteps {
		if (hi-lo)/s <= most {
			step = s
			break
		}
	}
	for (hi-lo)/step > most {
		step *= 2
	}
	var out []plot.Tick
	for n := math.Ceil(lo/step - 1e-9); n*step <= hi+step*1e-9; n++ {
		out = append(out, plot.Tick{Value: n * step, Label: units.Time(n*step+0, 0)})
	}
	return out
}

// within marks only a part of an axis.
type within struct {
	plot.Ticker
	lo, hi float64
}

// Ticks implements [plot.Ticker].
func (w within) Ticks(lo, hi float64) []plot.Tick {
	return w.Ticker.Ticks(max(lo, w.lo), min(hi, w.hi))
}

// roundStep is the least of 1, 2 and 5 times a power of ten that is not below x.
func roundStep(x float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= x*(1-1e-9) {
			return m * p
		}
	}
	return 10 * p
}
