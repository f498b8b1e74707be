package made

import (
	"math"
	"testing"
)

// Each of the sounds without a walker is there, is finite, and keeps its own
// rhythm: so many knocks a minute as are made.
func TestSoundsWithoutAWalker(t *testing.T) {
	for _, c := range []struct {
		kind   Kind
		lo, hi float64 // bursts a minute
	}{
		{Typing, 150, 500},
		{Clap, 6, 6},       // one in ten seconds
		{Drums, 120, 250},  // the hats after a drum are masked
		{Sewing, 100, 250}, // up to two strokes a beat, and pauses between the seams
	} {
		s := Spec{Seed: 3, Rate: 16000, Duration: 10, Noises: []Noise{{Kind: c.kind}}}
		x := s.Walk().Samples
		if n := 6 * float64(bursts(x, s.Rate)); n < c.lo || n > c.hi {
			t.Errorf("%s: %g bursts a minute, want %g to %g", c.kind, n, c.lo, c.hi)
		}
	}
	for _, v := range (Spec{Seed: 3, Duration: 1, Noises: []Noise{{Kind: Water}}}).Walk().Samples {
		if math.IsNaN(float64(v)) {
			t.Fatal("water is no number")
		}
	}
}

// bursts counts how often the mean square over 10 ms rises 5 dB above its mean
// over the 100 ms before.
func bursts(x []float32, rate float64) int {
	short, long := int(0.010*rate), int(0.100*rate)
	var near, far float64
	n, quiet := 0, 0
	for i, v := range x {
		near += float64(v) * float64(v)
		if i >= short {
			p := float64(x[i-short]) * float64(x[i-short])
			near, far = near-p, far+p
		}
		if i >= short+long {
			far -= float64(x[i-short-long]) * float64(x[i-short-long])
		}
		if quiet++; near/float64(short) > 3*far/float64(long)+1e-6 && quiet > long/2 {
			n, quiet = n+1, 0
		}
	}
	return n
}

// One other walker at a cadence of their own, who comes when they are said to.
func TestOneOtherComesLater(t *testing.T) {
	s := Spec{Seed: 5, Rate: 16000, Duration: 20, Noises: []Noise{{Kind: Crowd, Count: 1, Beat: Steady(200), From: 8}}}
	x := s.Walk().Samples
	for i, v := range x[:int(8*s.Rate)] {
		if v != 0 {
			t.Fatalf("sound at %.2f s, before they came", float64(i)/s.Rate)
		}
	}
	if n := 5 * bursts(x, s.Rate); n < 190 || n > 205 {
		t.Errorf("%d steps a minute, want 200", n)
	}
}

// Hands that move for the given share of the time, by a few m/s².
func TestGestures(t *testing.T) {
	all := gestures(1, 600, 0.5, usualRepeats)
	var moving, last float64
	for _, g := range all {
		if g.from < last-1e-9 {
			t.Fatalf("a gesture at %v s before the last ended, at %v s", g.from, last)
		}
		last = g.from + g.length
		moving += g.length
	}
	if share := moving / 600; share < 0.4 || share > 0.6 {
		t.Errorf("hands move for %.2f of the time, want about 0.5", share)
	}
	if gestures(1, 600, 0, usualRepeats) != nil {
		t.Error("gestures of hands that are still")
	}
	m := MotionSpec{Seed: 1, Duration: 60, Gestures: 0.5}.Motion()
	var most float64
	for _, r := range m.Rows {
		most = max(most, math.Abs(math.Sqrt(r.X*r.X+r.Y*r.Y+r.Z*r.Z)-gravity))
	}
	if most < 2 || most > 20 {
		t.Errorf("the greatest change of magnitude is %.1f m/s², want a few", most)
	}
}
