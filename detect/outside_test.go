package detect_test

import (
	"math"
	"testing"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// Values from outside, as far as there are any. Where it says so they are the
// project's own targets.

// Clicks at 200 a minute in white noise 20, 10 and 6 dB below: own targets, F of
// at least 0.99, 0.97 and 0.90 within 25 ms (that of S. Böck et al., madmom's
// evaluation/onsets.py), and a mean error of at most 5 ms.
func TestClicksInNoise(t *testing.T) {
	click := make([]float32, 4800)
	for i := range click {
		at := float64(i) / 48000
		click[i] = float32(math.Sin(2*math.Pi*1500*at) * math.Exp(-at/0.004))
	}
	for _, c := range []struct{ snr, f float64 }{{20, 0.99}, {10, 0.97}, {6, 0.90}} {
		w := made.Spec{
			Seed: 4, Duration: 30, Surface: made.Real("click", 48000, click),
			Gait:   made.Gait{Cadence: made.Steady(200)},
			Noises: []made.Noise{{Kind: made.White, SNR: c.snr}},
		}.Walk()
		h, err := trial.Hear(w.Samples, w.Rate)
		if err != nil {
			t.Fatal(err)
		}
		r := score.Match(h.Times, w.Times(), 0.025)
		if r.F() < c.f || math.Abs(r.Bias()) > 0.005 {
			t.Errorf("%g dB: F %.3f, want at least %g; mean error %.1f ms, want at most 5", c.snr, r.F(), c.f, 1000*r.Bias())
		}
	}
}

// A clean sine at 60 rows a second, where a row is 16.7 ms: the times between
// its steps scatter by less than 3 ms, as they are read between the rows (own
// target).
func TestSineBetweenTheRows(t *testing.T) {
	d, err := detect.NewMotion(detect.MotionConfig{})
	if err != nil {
		t.Fatal(err)
	}
	var events []detect.Event
	for i := range 60 * 60 {
		at := float64(i) / 60
		if events, err = d.Feed(events, at, 0, 0, 9.81+2*math.Cos(2*math.Pi*at/0.3)); err != nil {
			t.Fatal(err)
		}
	}
	var sum, sq, n, last float64
	for _, e := range events {
		if e.Kind != detect.KindStep {
			continue
		}
		if d := e.Step.T - last; last > 10 {
			sum, sq, n = sum+d, sq+d*d, n+1
		}
		last = e.Step.T
	}
	mean := sum / n
	if sd := math.Sqrt(sq/n - mean*mean); n < 150 || math.Abs(mean-0.3) > 0.001 || sd > 0.003 {
		t.Errorf("%.0f steps, %.2f ms apart, SD %.2f ms; want 300 ms, SD below 3", n, 1000*mean, 1000*sd)
	}
}

// A thousand steps are counted as 990 to 1010 (own target).
func TestThousandSteps(t *testing.T) {
	m := made.MotionSpec{
		Seed: 8, Rate: 50, Duration: 1000*60/115.0 + 3, Place: made.Pocket,
		Gait: made.Gait{Cadence: made.Steady(115), JitterCV: 2, LongRange: 0.3, Start: 3},
	}.Motion()
	h, err := trial.HearMotion(m.Rows)
	if err != nil {
		t.Fatal(err)
	}
	if d := len(h.Times) - len(m.Steps); d < -10 || d > 10 || len(m.Steps) < 990 {
		t.Errorf("%d steps found of %d", len(h.Times), len(m.Steps))
	}
}
