package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A burst of noise in noise starts where it was put, at any rate.
func TestOnset(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, rate := range []float64{8000, 11025, 48000, 96000} {
		o := newOnset(rate)
		span, end := o.span()
		x := make([]float32, span)
		var sum float64
		const n = 20
		for range n {
			at := end - int(0.025*rate)
			for i := range x {
				x[i] = float32(0.01 * rng.NormFloat64())
				if i >= at {
					x[i] += float32(0.2 * rng.NormFloat64() * math.Exp(-float64(i-at)/(0.02*rate)))
				}
			}
			sum += math.Abs(float64(o.refine(x)-at)) / rate
		}
		if e := sum / n; e > 0.0015 {
			t.Errorf("%g Hz: %.2f ms off in the mean, want at most 1.5", rate, 1000*e)
		}
	}
}

func TestOnsetOfSilence(t *testing.T) {
	o := newOnset(48000)
	span, _ := o.span()
	if at := o.refine(make([]float32, span)); at < 0 || at > span {
		t.Errorf("sample %d of %d", at, span)
	}
}
