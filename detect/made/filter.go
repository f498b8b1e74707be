package made

import "math"

// filter is a two-pole state variable filter in the trapezoidal form (Zavalishin,
// The Art of VA Filter Design, ch. 3): low-, band- and high-pass at once. Its
// band-pass has gain 1 at the centre.
type filter struct {
	g, k, a   float64
	ic1, ic2  float64
	low, band float64
	high      float64
}

// newFilter has its corner at hz with quality q (0.707 is flat).
func newFilter(rate, hz, q float64) *filter {
	f := &filter{k: 1 / q}
	f.tune(rate, hz)
	return f
}

// tune moves the corner.
func (f *filter) tune(rate, hz float64) {
	f.g = math.Tan(math.Pi * min(hz, 0.49*rate) / rate)
	f.a = 1 / (1 + f.g*(f.g+f.k))
}

func (f *filter) step(x float64) *filter {
	v1 := f.a * (f.ic1 + f.g*(x-f.ic2))
	v2 := f.ic2 + f.g*v1
	f.ic1, f.ic2 = 2*v1-f.ic1, 2*v2-f.ic2
	f.low, f.band, f.high = v2, f.k*v1, x-f.k*v1-v2
	return f
}

func lowPass(x []float64, rate, hz float64) {
	f := newFilter(rate, hz, math.Sqrt2/2)
	for i, v := range x {
		x[i] = f.step(v).low
	}
}

func highPass(x []float64, rate, hz float64) {
	f := newFilter(rate, hz, math.Sqrt2/2)
	for i, v := range x {
		x[i] = f.step(v).high
	}
}

func bandPass(x []float64, rate, hz, q float64) {
	f := newFilter(rate, hz, q)
	for i, v := range x {
		x[i] = f.step(v).band
	}
}
