package trial

import (
	"testing"

	"steadfoot/testdata/footsteps"
)

// TestClappings holds the bars for two claps on a share of the walks that
// cmd/eval has: 95 % heard, and none heard where there is none.
func TestClappings(t *testing.T) {
	var claps, heard, wrong int
	for i, c := range Clappings(60) {
		if i%4 != 0 {
			continue
		}
		w := c.Walk()
		found, err := HearClaps(w.Samples, w.Played, w.Rate)
		if err != nil {
			t.Fatal(err)
		}
		h, wr := c.Judge(found)
		claps, heard, wrong = claps+len(c.First), heard+h, wrong+wr
	}
	if claps < 60 || float64(heard) < 0.95*float64(claps) || wrong > 0 {
		t.Errorf("%d of %d heard, %d where there were none", heard, claps, wrong)
	}
}

func TestClapless(t *testing.T) {
	for i, c := range Clapless(40, 30) {
		if i%3 != 0 {
			continue
		}
		w, _ := c.Walk()
		found, err := HearClaps(w.Samples, nil, w.Rate)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range found {
			t.Errorf("%s: two claps at %.2f and %.2f s", c.Name, d.First, d.Second)
		}
	}
}

// TestFootstepsAreNoClaps: the recorded footsteps, each one alone and at a walk.
func TestFootstepsAreNoClaps(t *testing.T) {
	for _, surface := range footsteps.Surfaces() {
		var x []float32
		silence := func(seconds float64) { x = append(x, make([]float32, int(seconds*footsteps.Rate))...) }
		for _, f := range footsteps.On(surface) {
			silence(4)
			x = append(x, f.Samples...)
			silence(4)
			for range 20 {
				from := len(x)
				x = append(x, f.Samples...)
				silence(max(0, 0.33-float64(len(x)-from)/footsteps.Rate))
			}
		}
		found, err := HearClaps(x, nil, footsteps.Rate)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range found {
			t.Errorf("%s: two claps at %.2f and %.2f s", surface, d.First, d.Second)
		}
	}
}
