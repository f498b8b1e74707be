package detect_test

import (
	"testing"

	"steadfoot/detect/score/trial"
)

// A sensor beside the sound never harms, and helps much where neither does well
// alone: the bars of cmd/eval, on a walk of each kind. Clean sound and the sensor's
// lag are TestSensorThatStops' and TestLagIsLearned's.
func TestHeardAndFelt(t *testing.T) {
	least := map[string]float64{"pink -10 dB": -0.005, "wind -6 dB": -0.005, "grass, pink +0 dB": -0.005, "no sound": -0.005, trial.BothFailGroup: 0.03}
	for _, b := range trial.Boths(1) {
		lo, ok := least[b.Group]
		if !ok {
			continue
		}
		delete(least, b.Group)
		t.Run(b.Group, func(t *testing.T) {
			t.Parallel()
			j, err := b.Judge()
			if err != nil {
				t.Fatal(err)
			}
			if gain := j.Gain(); gain < lo {
				t.Errorf("F at ±50 ms: sound %.3f, sensor %.3f, joined %.3f; want at least %+g above the better", j.Sound.At50.F(), j.Felt.At50.F(), j.Joined.At50.F(), lo)
			}
			if f := j.Joined.At50.F(); f < 0.93 {
				t.Errorf("joined F at ±50 ms %.3f, want 0.93", f)
			}
		})
	}
	if len(least) > 0 {
		t.Errorf("no walks of %v", least)
	}
	for _, b := range trial.Hands(1) {
		j, err := b.Judge()
		if err != nil {
			t.Fatal(err)
		}
		if n := j.Joined.At50.FP; n > 0 {
			t.Errorf("%d steps with nobody walking", n)
		}
	}
}
