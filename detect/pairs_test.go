package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// pairsOf learns from peaks that height gives, in frames of 5 ms.
func pairsOf(frames int, height func(t int) float64) *pairs {
	p := newPairs(200, 23)
	ring := make([]peak, 64)
	for t := range frames {
		ring[t%len(ring)] = peak{z: height(t)}
		p.next(ring, t)
	}
	return p
}

// Steps every 320 ms whose second sound comes 60 ms later, twice as high: the
// distance is learned, and that there is a second sound. The weights are shares.
func TestPairsAreLearned(t *testing.T) {
	p := pairsOf(2000, func(t int) float64 {
		switch t % 64 {
		case 0:
			return 2
		case 12:
			return 4
		}
		return 0
	})
	var sum float64
	most := 0
	for k, w := range p.weight {
		sum += w
		if w > p.weight[most] {
			most = k
		}
	}
	if most != 12 || math.Abs(sum-1) > 1e-9 {
		t.Errorf("likeliest distance %d frames, want 12; weights sum to %v, want 1", most, sum)
	}
	if p.chance < 0.95*secondMost {
		t.Errorf("chance of a second sound %.2f, want it near %.2f", p.chance, secondMost)
	}
}

// Single sounds and the peaks of steady noise have no second sound.
func TestPairsOfNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for name, height := range map[string]func(int) float64{
		"silence": func(int) float64 { return 0 },
		"single sounds": func(t int) float64 {
			if t%64 == 0 {
				return 3
			}
			return 0
		},
		"noise": func(int) float64 {
			if rng.Float64() < 0.06 {
				return math.Exp(0.8 * rng.NormFloat64())
			}
			return 0
		},
	} {
		if p := pairsOf(4000, height); p.chance > 0.5*(secondLeast+secondMost) {
			t.Errorf("%s: chance of a second sound %.2f, want it near %.2f", name, p.chance, secondLeast)
		}
	}
}

// What follows a step that is none has no say: over noise without a rhythm the
// gain has mean 1, whatever was learned of pairs.
func TestAfterGainIsFair(t *testing.T) {
	f := newFilter(soundTuning(200))
	ring := make([]peak, 64)
	for k := range 2000 {
		ring[k%64] = peak{}
		if k%64 == 0 || k%64 == 12 {
			ring[k%64].z = 3
		}
		f.pairs.next(ring, k)
	}
	f.heardAt[0] = true
	rng := rand.New(rand.NewPCG(2, 2))
	var sum float64
	const n = 20000
	for range n {
		for k := range f.after {
			f.ratioAt[k] = rng.ExpFloat64() // any law of mean 1
		}
		sum += f.afterGain(0)
	}
	if m := sum / n; math.Abs(m-1) > 0.02 {
		t.Errorf("mean gain %.3f, want 1", m)
	}
	if g := f.afterGain(1); g != 1 {
		t.Errorf("gain %.3f where no step was heard, want 1", g)
	}
}
