package made

import (
	"math"
	"math/rand/v2"
)

// flicker makes 1/f noise of unit variance: one white noise through first-order
// low-passes an octave apart, weighted by the root of their corner. That is the
// integral ∫ x^-1/2/(s+x) dx = π·s^-1/2 taken in steps of an octave.
type flicker struct {
	rng    *rand.Rand
	pole   []float64
	weight []float64
	state  []float64
}

// newFlicker covers the octaves from low to high, both as shares of the rate at
// which next is called.
func newFlicker(rng *rand.Rand, low, high float64) *flicker {
	f := &flicker{rng: rng}
	for c := low; c < high; c *= 2 {
		f.pole = append(f.pole, math.Exp(-2*math.Pi*c))
		f.weight = append(f.weight, 1/math.Sqrt(c))
	}
	f.state = make([]float64, len(f.pole))
	f.normalise()
	return f
}

// normalise sets the weights so that next has unit variance, and starts the
// states as they are after a long time: two low-passes of one white noise with
// gains (1-p), (1-q) have the covariance (1-p)(1-q)/(1-pq).
func (f *flicker) normalise() {
	var variance float64
	for i, p := range f.pole {
		for j, q := range f.pole {
			variance += f.weight[i] * f.weight[j] * (1 - p) * (1 - q) / (1 - p*q)
		}
	}
	by := 1 / math.Sqrt(variance)
	for i := range f.weight {
		f.weight[i] *= by
	}
	start := f.rng.NormFloat64()
	for i, p := range f.pole {
		f.state[i] = start * math.Sqrt((1-p)/(1+p))
	}
}

func (f *flicker) next() float64 {
	w := f.rng.NormFloat64()
	var sum float64
	for i, p := range f.pole {
		f.state[i] = p*f.state[i] + (1-p)*w
		sum += f.weight[i] * f.state[i]
	}
	return sum
}
