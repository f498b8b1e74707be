package detect_test

import (
	"math"
	"os"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/detect/score/aubio"
	"steadfoot/detect/score/trial"
	"steadfoot/testdata/footsteps"
)

// The bars here are the project's own; F is MIREX's (see package score). All
// walks are made from real footsteps, see testdata/footsteps.

// hear makes the walk of a case and runs the detector over it.
func hear(t *testing.T, c trial.Case) (trial.Outcome, trial.Heard, made.Walk) {
	t.Helper()
	w := c.Spec.Walk()
	h, err := trial.Hear(w.Samples, w.Rate)
	if err != nil {
		t.Fatal(err)
	}
	return trial.Judge(h, trial.Of(w)), h, w
}

// Clean walks from 90 to 230 steps/min, steady and changing: nearly every step,
// the cadence within 1 step/min over 10 s, and never half or double tempo.
func TestCleanWalks(t *testing.T) {
	for _, c := range trial.Clean() {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			o, h, _ := hear(t, c)
			if f := o.At50.F(); f < 0.98 {
				t.Errorf("F at ±50 ms = %.3f, want at least 0.98 (%d hit, %d invented, %d missed)", f, o.At50.TP, o.At50.FP, o.At50.FN)
			}
			if o.Cadence.N < 2 || o.Cadence.Worst > 1 {
				t.Errorf("cadence over 10 s off by %.2f steps/min at worst of %d windows, want at most 1", o.Cadence.Worst, o.Cadence.N)
			}
			if n := o.Cadence.Half + o.Readings.Half; n > 0 {
				t.Errorf("%d times at half tempo", n)
			}
			if n := o.Cadence.Double + o.Readings.Double; n > 0 {
				t.Errorf("%d times at double tempo", n)
			}
			if len(h.Readings) < 20 {
				t.Errorf("%d rhythms reported in half a minute, want one every half second", len(h.Readings))
			}
		})
	}
}

// Every kind of noise 5 dB below the steps, against a general-purpose onset
// detector on the same files.
func TestNoisyWalks(t *testing.T) {
	compare := aubio.Installed()
	if !compare && os.Getenv("CI") != "" {
		t.Error("aubioonset must be there in CI (Debian: aubio-tools)")
	}
	var ours score.Result
	theirs := make(map[string]*score.Result)
	for _, c := range trial.Noisy(5, 1) {
		o, _, w := hear(t, c)
		ours.Add(o.At50)
		if f := o.At50.F(); f < 0.95 {
			t.Errorf("%s: F at ±50 ms = %.3f, want at least 0.95", c.Name, f)
		}
		if !compare {
			continue
		}
		onsets, err := aubio.Onsets(t.TempDir(), w.Samples, int(w.Rate))
		if err != nil {
			t.Fatal(err)
		}
		for method, times := range onsets {
			if theirs[method] == nil {
				theirs[method] = &score.Result{}
			}
			theirs[method].Add(score.Match(times, w.Times(), 0.050))
		}
	}
	for method, r := range theirs {
		if r.F() >= ours.F() {
			t.Errorf("aubio's %s has F = %.3f, ours is %.3f", method, r.F(), ours.F())
		}
	}
}

// Silence, noise and voices without a walker: not one step.
func TestNobodyWalks(t *testing.T) {
	for _, c := range trial.Nobody(20) {
		t.Run(c.Name, func(t *testing.T) {
			t.Parallel()
			if o, h, _ := hear(t, c); o.At50.FP > 0 {
				t.Errorf("%d steps invented, at %.2f s", o.At50.FP, h.Times)
			}
		})
	}
}

// Accelerometer walks: totals within 3 %, whatever the place, the rate and the
// quality of the stamps.
func TestMotionWalks(t *testing.T) {
	for _, c := range trial.Motion() {
		t.Run(c.Name, func(t *testing.T) {
			m := c.Spec.Motion()
			h, err := trial.HearMotion(m.Rows)
			if err != nil {
				t.Fatal(err)
			}
			if off := math.Abs(float64(len(h.Times)-len(m.Steps))) / float64(len(m.Steps)); off > 0.03 {
				t.Errorf("%d steps found of %d, %.1f %% off, want at most 3 %%", len(h.Times), len(m.Steps), 100*off)
			}
		})
	}
}

func TestNobodyMoves(t *testing.T) {
	h, err := trial.HearMotion(made.MotionSpec{Seed: 1, Duration: 60}.Motion().Rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(h.Times) > 0 {
		t.Errorf("%d steps felt by one who stands, at %.2f s", len(h.Times), h.Times)
	}
}

// On dirt a step has a second sound, louder than the first, and a faint one half
// way to the next step of a slow walk: neither is taken for a step.
func TestSecondSounds(t *testing.T) {
	for _, cadence := range []float64{100, 120, 178, 215} {
		var r score.Result
		for seed := range uint64(3) {
			w := made.Spec{
				Seed: seed, Duration: 25, Surface: footsteps.Surface("dirt"), LevelJitter: 1.5,
				Gait: made.Gait{Cadence: made.Steady(cadence), JitterCV: 1.5, LongRange: 0.3, Unevenness: 2, Start: 0.7},
			}.Walk()
			h, err := trial.Hear(w.Samples, w.Rate)
			if err != nil {
				t.Fatal(err)
			}
			r.Add(score.Match(h.Times, w.Times(), 0.050))
		}
		if r.F() < 0.85 {
			t.Errorf("%g steps/min: F at ±50 ms = %.3f, want at least 0.85", cadence, r.F())
		}
	}
}
