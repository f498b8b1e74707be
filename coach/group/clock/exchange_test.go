package clock

import (
	"math"
	"math/rand/v2"
	"testing"
)

const micro = 1e-6

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

// TestExchange: offset and delay by the formulas of RFC 5905, section 8. The
// figures are worked from them by hand.
func TestExchange(t *testing.T) {
	for _, c := range []struct {
		name                   string
		e                      Exchange
		offset, delay, mostOff float64
	}{
		{"both ways alike", Exchange{T1: 1000, T2: 1000.120, T3: 1000.121, T4: 1000.041}, 0.100, 0.040, 0.020},
		// 10 ms there and 50 ms back: off by half the difference, within half the delay
		{"uneven ways", Exchange{T1: 1000, T2: 1000.110, T3: 1000.111, T4: 1000.061}, 0.080, 0.060, 0.030},
		// 100 ppm over 64 s make −6.4 ms (RFC 5905, section 8): clamped
		{"negative delay", Exchange{T1: 1000, T2: 1000, T3: 1064.0064, T4: 1064}, 0.0032, 0, 0.0032},
		{"a hub that is off", Exchange{T1: 1, T2: 2, T3: 2, T4: 1, Spread: 0.007}, 1, 0, 0.007},
	} {
		near(t, c.name+", offset", c.e.Offset(), c.offset, micro)
		near(t, c.name+", delay", c.e.Delay(), c.delay, micro)
		near(t, c.name+", bound", c.e.Error(), c.mostOff+precision, micro)
	}
}

// TestOneSided: whatever the two ways are like, the offset is off by half their
// difference, and never by more than the bound.
func TestOneSided(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		const offset = 12.5
		there, back, t1 := r.ExpFloat64()*0.1, r.ExpFloat64()*0.1, r.Float64()*1e4
		e := Exchange{T1: t1, T2: t1 + offset + there, T3: t1 + offset + there + 1e-4, T4: t1 + there + back + 1e-4}
		near(t, "offset", e.Offset(), offset+(there-back)/2, micro)
		if off := math.Abs(e.Offset() - offset); off > e.Error() {
			t.Fatalf("off by %g with a bound of %g", off, e.Error())
		}
	}
}

func TestPossible(t *testing.T) {
	if !(Exchange{T1: 1, T2: -5, T3: -4, T4: 2}).possible() {
		t.Error("an exchange was refused")
	}
	for _, e := range []Exchange{
		{T1: math.NaN()},
		{T4: math.Inf(1)},
		{T2: 1e10, T3: 1e10},
		{T1: 2, T4: 1},
		{T2: 2, T3: 1},
		{Spread: -1},
	} {
		if e.possible() {
			t.Errorf("%+v was believed", e)
		}
	}
}

// TestFilter: of eight exchanges the one with 4 ms of delay counts, the others
// have 60 to 200 ms; a ninth pushes it out when it is the oldest.
func TestFilter(t *testing.T) {
	var f Filter
	with := func(delay, offset float64) Exchange {
		return Exchange{T1: 10, T2: 10 + offset + delay/2, T3: 10 + offset + delay/2, T4: 10 + delay}
	}
	var best Exchange
	for i, delay := range []float64{0.004, 0.060, 0.080, 0.100, 0.200, 0.150, 0.120, 0.180} {
		best = f.Add(with(delay, 0.1+float64(i)*0.01))
	}
	near(t, "offset", best.Offset(), 0.1, micro)
	near(t, "delay", best.Delay(), 0.004, micro)
	best = f.Add(with(0.140, 0.5))
	near(t, "delay without it", best.Delay(), 0.060, micro)
}
