package engine

import (
	"testing"
	"time"
)

func TestHistogram(t *testing.T) {
	var h Histogram
	if h.Quantile(0.5) != 0 || h.N() != 0 {
		t.Error("an empty one has something in it")
	}
	for i := range 1000 {
		h.Add(time.Duration(i+1) * time.Microsecond)
	}
	h.Add(-1) // a clock that stepped
	for _, c := range []struct {
		q    float64
		want time.Duration
	}{{0.5, 500 * time.Microsecond}, {0.9, 900 * time.Microsecond}, {0.999, time.Millisecond}, {1, time.Millisecond}} {
		if got := h.Quantile(c.q); got < c.want-time.Microsecond || got > c.want*5/4 {
			t.Errorf("quantile %v is %v, want %v to a quarter more", c.q, got, c.want)
		}
	}
	if h.N() != 1001 || h.Max() != time.Millisecond {
		t.Errorf("%d, at most %v", h.N(), h.Max())
	}
	if n := testing.AllocsPerRun(100, func() { h.Add(time.Millisecond) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
