package figure

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// Ticks marks an axis at round numbers, all with as many decimals as it takes
// to tell them apart. The library's own cut 1.06 and 1.08 to 1.1.
type Ticks struct{}

// Ticks implements [plot.Ticker] with 4 to 9 marks.
func (Ticks) Ticks(lo, hi float64) []plot.Tick {
	if !(hi > lo) || math.IsInf(hi-lo, 0) {
		return []plot.Tick{{Value: lo, Label: strconv.FormatFloat(lo, 'g', 6, 64)}}
	}
	step := roundStep((hi - lo) / 8)
	decimals := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	var out []plot.Tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+step*1e-9; k++ {
		v := k*step + 0 // no -0
		out = append(out, plot.Tick{Value: v, Label: strconv.FormatFloat(v, 'f', decimals, 64)})
	}
	return out
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
