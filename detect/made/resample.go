package made

import (
	"math"
	"sync"
)

// The resampling kernel is a sinc of 16 zero crossings a side under a Hann
// window, tabulated at 512 places a crossing and read by straight lines between
// them, which is right to 1e-5.
const (
	kernelReach = 16
	kernelFine  = 512
)

var kernel = sync.OnceValue(func() []float64 {
	table := make([]float64, kernelReach*kernelFine+2)
	table[0] = 1
	for i := 1; i < kernelReach*kernelFine; i++ {
		d := math.Pi * float64(i) / kernelFine
		table[i] = math.Sin(d) / d * (0.5 + 0.5*math.Cos(d/kernelReach))
	}
	return table
})

// resample reads x in steps of ratio samples, and keeps out what the new rate
// cannot hold.
func resample(x []float32, ratio float64) []float64 {
	table, cut := kernel(), min(1, 1/ratio)
	reach := kernelReach / cut
	y := make([]float64, int(float64(len(x))/ratio))
	for n := range y {
		centre := float64(n) * ratio
		from, to := max(int(math.Ceil(centre-reach)), 0), min(int(centre+reach), len(x)-1)
		for k := from; k <= to; k++ {
			d := math.Abs(float64(k)-centre) * cut * kernelFine
			i := int(d)
			y[n] += float64(x[k]) * cut * (table[i] + (d-float64(i))*(table[i+1]-table[i]))
		}
	}
	return y
}
