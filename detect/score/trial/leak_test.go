package trial

import (
	"math"
	"testing"

	"steadfoot/detect/made"
)

// TestLeaks holds the bars for own sound in the microphone: F at ±50 ms of 0.99
// in each group, and steps at most 3 ms from where they are without it.
func TestLeaks(t *testing.T) {
	type group struct {
		o        Outcome
		moved, n float64 // sum over so many walks, s
	}
	groups := make(map[string]*group)
	for _, l := range Leaks(1) {
		g := groups[l.Group]
		if g == nil {
			g = new(group)
			groups[l.Group] = g
		}
		w, truth := l.Walk()
		told, err := HearPlayed(w.Samples, w.Played, w.Rate)
		if err != nil {
			t.Fatal(err)
		}
		quiet, _ := l.Without()
		alone, err := Hear(quiet.Samples, quiet.Rate)
		if err != nil {
			t.Fatal(err)
		}
		g.o.Add(Judge(told, truth))
		g.moved += meanOff(told.Times, truth.Times) - meanOff(alone.Times, truth.Times)
		g.n++
	}
	if len(groups) != 11 {
		t.Errorf("%d groups", len(groups))
	}
	for name, g := range groups {
		if f := g.o.At50.F(); f < 0.99 {
			t.Errorf("%s: F at ±50 ms = %.3f, want 0.99 (%d invented, %d missed)", name, f, g.o.At50.FP, g.o.At50.FN)
		}
		if moved := 1000 * g.moved / g.n; math.Abs(moved) > 3 {
			t.Errorf("%s: the steps are moved by %.1f ms, want at most 3", name, moved)
		}
	}
}

// TestClicksOfTheMaker: the same for the clicks that made.Spec knows.
func TestClicksOfTheMaker(t *testing.T) {
	for i, beat := range []float64{200, 184} {
		s := walker(500+i, made.Steady(184))
		s.Noises = []made.Noise{{Kind: made.Clicks, Beat: made.Steady(beat), Delay: 0.020}}
		w := s.Walk()
		h, err := HearPlayed(w.Samples, w.Played, w.Rate)
		if err != nil {
			t.Fatal(err)
		}
		if f := Judge(h, Of(w)).At50.F(); f < 0.99 {
			t.Errorf("clicks at %g/min: F at ±50 ms = %.3f, want 0.99", beat, f)
		}
	}
}

// meanOff is the mean of found minus true times, of pairs within 50 ms, s.
func meanOff(found, truth []float64) float64 {
	var sum float64
	n := 0
	for _, t := range truth {
		best := math.Inf(1)
		for _, f := range found {
			if math.Abs(f-t) < math.Abs(best) {
				best = f - t
			}
		}
		if math.Abs(best) < window {
			sum += best
			n++
		}
	}
	return sum / float64(n)
}
