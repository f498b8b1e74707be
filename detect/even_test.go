package detect

import (
	"math"
	"testing"
)

func TestLine(t *testing.T) {
	// By hand: 1, 3, 2 has mean 2 and slope 1/2, so fitted values 1.5, 2, 2.5 of
	// SD 1/2, and a rest of -1/2, 1, -1/2 with one degree of freedom.
	mean, trend, rest := line([]float64{1, 3, 2})
	for _, c := range [][2]float64{{mean, 2}, {trend, 0.5}, {rest, math.Sqrt(1.5)}} {
		if math.Abs(c[0]-c[1]) > 1e-12 {
			t.Errorf("mean %v, trend %v, rest %v, want 2, 1/2 and the root of 3/2", mean, trend, rest)
		}
	}
}

// Walkers' strides vary by a few per cent, also while they speed up; strides
// that vary more, heights that do, and steps that were not felt are no walk yet.
func TestEven(t *testing.T) {
	walk := func(change func(i int, c *candidate)) []candidate {
		var steps []candidate
		at := 0.0
		for i := range 9 {
			c := candidate{placed: placed{heard: true}, height: 0.2}
			change(i, &c)
			at += 0.5 + c.t
			c.t = at
			steps = append(steps, c)
		}
		return steps
	}
	for name, c := range map[string]struct {
		change func(i int, c *candidate)
		want   bool
	}{
		"steady":       {func(int, *candidate) {}, true},
		"uneven feet":  {func(i int, c *candidate) { c.t = 0.03 * float64(1-i%2*2) }, true},
		"speeding up":  {func(i int, c *candidate) { c.t = -0.02 * float64(i) }, true},
		"loose stride": {func(i int, c *candidate) { c.t = 0.12 * float64(1-i/2%2*2) }, false},
		"loose height": {func(i int, c *candidate) { c.height *= 1 + 0.8*float64(1-i%2*2) }, false},
		"one not felt": {func(i int, c *candidate) { c.heard = i != 5 }, false},
		"early fumble": {func(i int, c *candidate) { c.heard = i != 1 }, true},
	} {
		g := newGear(gearRanges[1][0], gearRanges[1][1])
		g.track.period = 0.5 * motionRate
		g.kept = walk(c.change)
		if got := g.even(); got != c.want {
			t.Errorf("%s: even %v, want %v", name, got, c.want)
		}
		g.kept = g.kept[3:]
		if g.even() {
			t.Errorf("%s: even after six steps", name)
		}
	}
}
