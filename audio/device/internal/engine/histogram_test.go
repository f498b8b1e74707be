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
	for _, limit := range []time.Duration{10, 100, 500, 999} {
		if got, want := h.Over(limit*time.Microsecond), int64(1000-limit); got < want || got > want+int64(limit)/4 {
			t.Errorf("%d took longer than %d µs, want %d to a quarter of the limit more", got, limit, want)
		}
	}
	if got := h.Over(2 * time.Millisecond); got != 0 {
		t.Errorf("%d took longer than 2 ms, want none", got)
	}
	if n := testing.AllocsPerRun(100, func() { h.Add(time.Millisecond) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// What a callback waited is its delay beyond the least one, whatever the two clocks
// count from.
func TestWaited(t *testing.T) {
	now := 5 * time.Second
	s := newStream(16, func() time.Duration { return now })
	in, out := make([]float32, 16), make([]float32, 32)
	for i := range 1000 {
		now += 10 * time.Millisecond
		called := now - 3*time.Second
		if i%100 == 99 {
			called -= 2 * time.Millisecond
		}
		s.process(in, out, 2, Call{Now: called}, 0)
	}
	w := &s.spent.Waited
	if w.N() != 1000 || w.Quantile(0.98) != 1 || w.Max() != 2*time.Millisecond || w.Over(time.Millisecond) != 10 {
		t.Errorf("%d waited, p98 %v, at most %v, %d for more than 1 ms; want 1000, 1ns, 2ms, 10", w.N(), w.Quantile(0.98), w.Max(), w.Over(time.Millisecond))
	}
}
