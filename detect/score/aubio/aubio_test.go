package aubio

import (
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

// Clear steps without noise are what such a detector is for: if it does not
// find them, we run it wrongly.
func TestFindsClearSteps(t *testing.T) {
	if !Installed() {
		t.Skip("aubioonset is not installed (Debian: aubio-tools)")
	}
	w := made.Spec{Seed: 1, Duration: 10, Gait: made.Gait{Cadence: made.Steady(180), JitterCV: 2}}.Walk()
	found, err := Onsets(t.TempDir(), w.Samples, int(w.Rate))
	if err != nil {
		t.Fatal(err)
	}
	best := 0.0
	for _, m := range Methods {
		best = max(best, score.Match(found[m], w.Times(), 0.050).F())
	}
	if best < 0.95 {
		t.Errorf("best F of all methods = %.3f, want at least 0.95", best)
	}
}
