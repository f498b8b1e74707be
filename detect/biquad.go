package detect

import "math"

// biquad is a filter of second order in transposed direct form.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	s1, s2             float64
}

// lowPass and highPass are Butterworth filters with their corner at hz, which
// is kept under half of the rate.
func lowPass(rate, hz float64) biquad {
	w := warp(rate, hz)
	n := 1 / (1 + math.Sqrt2*w + w*w)
	return biquad{b0: w * w * n, b1: 2 * w * w * n, b2: w * w * n, a1: 2 * (w*w - 1) * n, a2: (1 - math.Sqrt2*w + w*w) * n}
}

func highPass(rate, hz float64) biquad {
	w := warp(rate, hz)
	n := 1 / (1 + math.Sqrt2*w + w*w)
	return biquad{b0: n, b1: -2 * n, b2: n, a1: 2 * (w*w - 1) * n, a2: (1 - math.Sqrt2*w + w*w) * n}
}

func warp(rate, hz float64) float64 { return math.Tan(math.Pi * min(hz, 0.4*rate) / rate) }

func (f *biquad) next(x float64) float64 {
	y := f.b0*x + f.s1
	f.s1 = f.b1*x - f.a1*y + f.s2
	f.s2 = f.b2*x - f.a2*y
	return y
}

// hush keeps filters that have silence to work on from numbers so small that a
// processor is slow with them.
const hush = 1e-18
