package clock

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestPath: a path never falls, has the way back, and keeps its past.
func TestPath(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	p := path{{10, 1000, 1}}
	var past []float64 // group times at 0, 1, 2 ... s
	for now := 10; now < 10+memory/2; now++ {
		past = append(past, p.at(float64(now)))
		l := float64(now) + r.Float64()
		p = p.put(piece{l, p.at(l) + r.Float64()*1e-3, 1 + (r.Float64()-0.5)*1e-3})
	}
	for i, want := range past {
		near(t, "the past", p.at(float64(10+i)), want, 1e-9)
	}
	last := math.Inf(-1)
	for l := 5.0; l < 60; l += 0.001 {
		g := p.at(l)
		if g < last {
			t.Fatalf("falls at %g: %.12g after %.12g", l, g, last)
		}
		last = g
		if back := p.at(p.back(g)); math.Abs(back-g) > 1e-9 {
			t.Fatalf("%g is %.12g, and by its way back %.12g", l, g, back)
		}
	}
}

// TestPathForgets: it does not grow for ever.
func TestPathForgets(t *testing.T) {
	p := path{{0, 0, 1}}
	for i := range 10 * memory {
		p = p.put(piece{float64(i + 1), float64(i + 1), 1})
	}
	if len(p) != memory || cap(p) > 2*memory {
		t.Errorf("%d pieces in room for %d", len(p), cap(p))
	}
	near(t, "now", p.at(1000), 1000, 1e-9)
}
