package picture

import (
	"math"
	"testing"
)

// A quantity that is its time: after any number of joinings each column's mean is
// its middle, and its maximum its end.
func TestColumns(t *testing.T) {
	means := columns{width: 1, most: 8, size: 1, join: mean}
	tops := columns{width: 1, most: 8, size: 2, join: greater}
	for k := range 100 {
		at := float64(k) + 0.5
		means.add(at, at)
		tops.add(at, at, -at)
	}
	if means.width != 16 || len(means.n) != 7 {
		t.Fatalf("%d columns of %v s, want 7 of 16", len(means.n), means.width)
	}
	for k := range 6 {
		if got, want := means.at(k)[0], 16*float64(k)+8; math.Abs(got-want) > 1e-9 {
			t.Errorf("column %d has mean %v, want %v", k, got, want)
		}
		if got := tops.at(k); got[0] != 16*float64(k)+15.5 || got[1] != -16*float64(k)-0.5 {
			t.Errorf("column %d has maxima %v", k, got)
		}
	}
	if means.at(-1) != nil || means.at(7) != nil {
		t.Error("columns beyond the ends")
	}
}

// Holes stay holes until a neighbour fills them.
func TestColumnsWithHoles(t *testing.T) {
	c := columns{width: 1, most: 4, size: 1, join: mean}
	c.add(0.5, 3)
	c.add(3.5, 5)
	if c.at(1) != nil || c.at(2) != nil {
		t.Error("a hole has a value")
	}
	c.add(4.5, 7)
	if got := []float64{c.at(0)[0], c.at(1)[0], c.at(2)[0]}; got[0] != 3 || got[1] != 5 || got[2] != 7 {
		t.Errorf("joined %v, want 3, 5, 7", got)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		lo, hi       float64
		first, last  string
		least, mosts int
	}{
		{0, 10, "0", "10", 8, 13},
		{61.2, 63, "61.2", "63.0", 8, 13},
		{0, 600, "0:00", "10:00", 8, 13},
		{0, 7300, "0:00", "2:00:00", 6, 13},
	} {
		all := timeTicks{}.Ticks(c.lo, c.hi)
		if n := len(all); n < c.least || n > c.mosts || all[0].Label != c.first || all[n-1].Label != c.last {
			t.Errorf("%g to %g: %d ticks, %v", c.lo, c.hi, n, all)
		}
	}
}
