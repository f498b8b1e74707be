package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestHeightsForget(t *testing.T) {
	h := heights{memory: 40}
	for range 1000 {
		h.learn(10, 1)
	}
	for range 200 {
		h.learn(50, 1)
	}
	var sum float64
	for _, c := range h.count {
		sum += c
	}
	if math.Abs(sum-h.total) > 1e-9 || h.total > 40+1e-9 {
		t.Errorf("counts sum up to %g, total %g, memory 40", sum, h.total)
	}
	if h.count[10] > 0.1 {
		t.Errorf("200 observations later the old height still weighs %g", h.count[10])
	}
}

// Over frames without a step the ratio has mean 1, whatever the heights: that
// is what keeps the filter from walking in noise. The picker's reach and the
// least heights make it a little less in practice.
func TestMeanRatioIsOneOnNoise(t *testing.T) {
	for _, spread := range []float64{0.3, 0.8, 1.3} {
		rng := rand.New(rand.NewPCG(1, 1))
		l := newLikelihood(soundTuning(200))
		const rate = 0.07
		frame := func() peak {
			if rng.Float64() > rate {
				return peak{}
			}
			return peak{z: math.Exp(-1 + spread*rng.NormFloat64())}
		}
		for range 20000 {
			l.learnOther(frame())
		}
		var sum float64
		const n = 400000
		for range n {
			sum += l.ratio(frame())
		}
		if m := sum / n; math.Abs(m-1) > 0.12 {
			t.Errorf("spread %g: mean ratio %.3f, want 1", spread, m)
		}
	}
}

// Heights that steps had before tell more than high ones in general.
func TestLearnsHeightsOfSteps(t *testing.T) {
	l := newLikelihood(soundTuning(200))
	loud, soft := peak{z: 6}, peak{z: 1.5}
	if l.ratio(loud) <= l.ratio(soft) {
		t.Errorf("before any step is known, %.1f for a high peak, %.1f for a lower one", l.ratio(loud), l.ratio(soft))
	}
	for range 60 {
		l.learnStep(soft, 1)
	}
	if l.ratio(loud) >= l.ratio(soft) {
		t.Errorf("after 60 steps of height 1.5, %.1f for it, %.1f for another's of 6", l.ratio(soft), l.ratio(loud))
	}
}
