package sim

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// The gain is found again from what a walker makes of beats that come early or
// late: the shift moves the asynchrony, and the asynchrony the next interval.
func TestAlpha(t *testing.T) {
	for _, alpha := range []float64{0.2, 0.5, 0.8} {
		w := plain(3)
		w.Sync.Alpha, w.Sync.Beta = alpha, 0
		r := rand.New(rand.NewPCG(7, 7))
		shift := make([]float64, 6000)
		for i := range shift {
			shift[i] = 0.02 * (r.Float64() - 0.5)
		}
		steps := walk(newBody(w), 5000, func(n int) float64 { return float64(n)/3 + shift[n] })
		var by, async, interval []float64
		for i, s := range steps[:len(steps)-1] {
			if s.With {
				by = append(by, shift[int(math.Round(3*s.T+0.15))])
				async = append(async, s.T-s.Beat)
				interval = append(interval, steps[i+1].T-s.T)
			}
		}
		if len(by) < 4900 {
			t.Fatalf("alpha %g: only %d steps follow the beat", alpha, len(by))
		}
		got := -stat.Covariance(interval, by, nil) / stat.Covariance(async, by, nil)
		if math.Abs(got-alpha) > 0.05 {
			t.Errorf("alpha %g is found again as %.3f", alpha, got)
		}
	}
}

// Feet return to a beat whose phase was shifted within a few beats (Front Hum
// Neurosci 2014;8:724), and lead it by what the walker leads.
func TestPhaseShift(t *testing.T) {
	var before, after []float64
	for seed := range uint64(50) {
		steps := walk(newBody(plain(seed)), 120, func(n int) float64 {
			if n >= 100 {
				return float64(n)/3 + 0.06
			}
			return float64(n) / 3
		})
		for _, s := range steps {
			switch n := math.Round(3 * (s.T + 0.05)); {
			case n >= 60 && n < 98:
				before = append(before, s.T-s.Beat)
			case n >= 107 && n < 115:
				after = append(after, s.T-s.Beat)
			}
		}
	}
	for name, a := range map[string][]float64{"before the shift": before, "seven beats after it": after} {
		if m := stat.Mean(a, nil); math.Abs(m+0.05) > 0.006 {
			t.Errorf("%s the foot is %.1f ms from the beat, want -50", name, 1000*m)
		}
	}
}

// A beat within reach is joined, one 10 % away is not; and a walker who follows
// loses a beat that jumps out of reach.
func TestReach(t *testing.T) {
	for _, c := range []struct {
		above, then float64 // % above the walker's own cadence, at first and after a minute
		first, last bool    // whether it is followed at the end of each minute
	}{
		{3, 3, true, true},
		{-3, -3, true, true},
		{5, 8, true, true}, // in two goes even this is within reach
		{10, 10, false, false},
		{0, 12, true, false},
	} {
		beat := metronome(func(n int) float64 {
			first := 3 * (1 + c.above/100)
			if n <= int(60*first) {
				return float64(n) / first
			}
			k := int(60 * first)
			return float64(k)/first + float64(n-k)/3/(1+c.then/100)
		})
		b := newBody(plain(5))
		walk(b, 178, beat)
		if b.beat.on != c.first {
			t.Errorf("%+g %%: followed after a minute: %v", c.above, b.beat.on)
		}
		for b.now < 118 {
			walk(b, 1, beat)
		}
		if b.beat.on != c.last {
			t.Errorf("%+g %% and then %+g %%: followed after two minutes: %v", c.above, c.then, b.beat.on)
		}
	}
}
