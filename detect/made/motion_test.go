package made_test

import (
	"math"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

func TestMotionRows(t *testing.T) {
	m := made.MotionSpec{
		Seed: 3, Rate: 50, Duration: 40, Gait: made.Gait{Cadence: made.Steady(120), JitterCV: 2},
		TimeJitter: 0.004, Dropped: 0.1, Holes: [][2]float64{{20, 22}},
	}.Motion()
	last := -1.0
	for _, r := range m.Rows {
		if r.T <= last {
			t.Fatalf("row at %v s after one at %v s", r.T, last)
		}
		if r.T >= 20 && r.T < 22 {
			t.Fatalf("row at %v s, in the hole", r.T)
		}
		last = r.T
	}
	within(t, "rows", float64(len(m.Rows)), 38*50*0.9, 60)
}

// However the sensor lies, its magnitude rises and falls once a step, and the
// mean over the walk is gravity.
func TestMotionHasTheStepsRhythm(t *testing.T) {
	for _, place := range []made.Place{made.Waist, made.Pocket, made.Armband} {
		for seed := range uint64(3) {
			m := made.MotionSpec{Seed: seed, Place: place, Duration: 60, Gait: made.Gait{Cadence: made.Steady(120)}, Turning: 0.5}.Motion()
			var x []float64
			for _, r := range m.Rows[200 : len(m.Rows)-200] {
				x = append(x, math.Sqrt(r.X*r.X+r.Y*r.Y+r.Z*r.Z))
			}
			// Steps 0.5 s apart are 50 rows apart; autocorrelation as facts from
			// Moe-Nilssen and Helbostad 2004, J Biomech 37:121.
			power := score.Autocorrelation(x, 0)
			step, between := score.Autocorrelation(x, 50)/power, score.Autocorrelation(x, 25)/power
			if step < 0.5 || between > step-0.3 {
				t.Errorf("place %d: autocorrelation %.2f at a step, %.2f at half a step", place, step, between)
			}
			within(t, "mean magnitude", mean(x), 9.81, 0.7)
		}
	}
}

func TestStandingIsGravityAlone(t *testing.T) {
	m := made.MotionSpec{Duration: 5, Noise: 0.01}.Motion()
	for _, r := range m.Rows {
		within(t, "magnitude", math.Sqrt(r.X*r.X+r.Y*r.Y+r.Z*r.Z), 9.81, 0.1)
	}
}
