package detect

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Walks at 190 steps/min whose steps vary by 2 %, half of it slowly, heard with
// an error of some ms: over all of them the mean cadence of the steps lies within
// 1.96 standard errors in 90 to 99 %, and nowhere much more seldom, whatever the
// walker does and however well he is heard.
func TestMeanCadenceIsHonest(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	const walks, kinds = 400, 5
	all := 0.0
	for _, c := range [kinds]struct{ ear, vary, limp, drift float64 }{
		{0.0023, 0.02, 0, 0}, {0.004, 0.02, 0, 0}, {0.004, 0.01, 0.03, 0}, {0.0023, 0.03, 0.03, 0.004}, {0.008, 0.01, 0, 0},
	} {
		inside := 0
		for range walks {
			var real, told []Step
			at, slow := 1.0, 0.0
			for i := range 60 {
				slow = 0.9*slow + 0.3*rng.NormFloat64()
				step := 60 / 190.0 * (1 + c.vary*math.Sqrt(0.5)*(rng.NormFloat64()+slow) + c.drift*float64(i))
				step *= 1 + c.limp*float64(1-2*(i%2))
				at += step
				real = append(real, Step{T: at, Heard: true})
				told = append(told, Step{T: at + c.ear*rng.NormFloat64(), Heard: true})
			}
			want, _ := MeanCadence(real, 12)
			got, sd := MeanCadence(told, 12)
			if math.Abs(got-want) < 1.96*sd {
				inside++
			}
		}
		share := float64(inside) / walks
		all += share / kinds
		if share < 0.80 {
			t.Errorf("heard with an error of %.1f ms, walked with %.1f %%: %.1f %% of the true means inside the band, want at least 80", 1000*c.ear, 100*c.vary, 100*share)
		}
	}
	if all < 0.90 || all > 0.99 {
		t.Errorf("%.1f %% of the true means inside the band, want 90 to 99", 100*all)
	}
}

// Bridged steps at the ends make the mean less sure; too few steps have none.
func TestMeanCadenceOfFew(t *testing.T) {
	var steps []Step
	for i := range 9 {
		steps = append(steps, Step{T: 0.3 * float64(i), Heard: true})
	}
	cadence, heard := MeanCadence(steps, 8)
	if math.Abs(cadence-200) > 1e-9 {
		t.Errorf("%v steps/min, want 200", cadence)
	}
	steps[8].Heard = false
	if _, bridged := MeanCadence(steps, 8); bridged < 1.5*heard {
		t.Errorf("standard error %.3f with a bridged end, %.3f with a heard one", bridged, heard)
	}
	for _, n := range []int{-2, 0, 3, 9} {
		if c, sd := MeanCadence(steps, n); c != 0 || sd != 0 {
			t.Errorf("over %d of 8 intervals: %v ± %v", n, c, sd)
		}
	}
}
