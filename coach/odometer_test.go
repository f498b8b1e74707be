package coach

import (
	"math"
	"testing"

	"steadfoot/detect"
	"steadfoot/profiles"
)

// TestOdometer: what is walked where steps are missing, told late, or not told at
// all. The walker makes 180 steps/min of 1 m, which is 3 m/s.
func TestOdometer(t *testing.T) {
	walking := detect.Rhythm{State: detect.Walking, Cadence: 180}
	steps := func(o *odometer, from, to float64) {
		for at := from; at < to-1e-9; at += 1.0 / 3 {
			o.step(at)
		}
	}
	for _, tt := range []struct {
		name string
		walk func(o *odometer)
		want float64
		near float64
	}{
		{"steps and rhythm", func(o *odometer) {
			for k := range 60 {
				steps(o, float64(k), float64(k+1))
				o.tick(float64(k+1), walking)
			}
		}, 180, 0.01},
		{"rhythm without steps", func(o *odometer) {
			for k := range 120 {
				o.tick(float64(k)/2, walking)
			}
		}, 59.5 * 3, 0.01},
		{"steps of a walk just found", func(o *odometer) {
			for k := range 10 {
				o.tick(float64(k)/2, detect.Rhythm{State: detect.NotWalking})
			}
			steps(o, 2, 5)
			o.tick(5, walking)
			steps(o, 5, 10)
		}, 24, 0.01},
		{"a hole without a word", func(o *odometer) {
			steps(o, 0, 10)
			o.tick(10, walking)
			steps(o, 40, 50)
		}, 150, 1},
		{"a hole too long", func(o *odometer) {
			steps(o, 0, 10)
			o.tick(10, walking)
			steps(o, 100, 110)
		}, 60, 0.01},
		{"a stop", func(o *odometer) {
			steps(o, 0, 10)
			o.tick(10, walking)
			for k := 24; k < 80; k++ {
				o.tick(float64(k)/2, detect.Rhythm{State: detect.NotWalking})
			}
			steps(o, 40, 50)
		}, 60, 0.01},
		{"standing, then not heard", func(o *odometer) {
			o.tick(1, detect.Rhythm{State: detect.NotWalking})
			for k := range 20 {
				o.tick(float64(2+k), detect.Rhythm{State: detect.CannotHear})
			}
		}, 0, 0},
		{"unheard steps told after all", func(o *odometer) {
			steps(o, 0, 10)
			o.tick(10, walking)
			o.tick(12, detect.Rhythm{State: detect.CannotHear})
			steps(o, 10, 12)
			steps(o, 12, 20)
		}, 60, 1.01},
	} {
		o := newOdometer(profiles.Constant(1))
		tt.walk(&o)
		if got := o.position(); math.Abs(got-tt.want) > tt.near {
			t.Errorf("%s: %.2f m, want %g", tt.name, got, tt.want)
		}
	}
}

// TestOdometerCurve: a step is as long as the curve says at the present cadence.
func TestOdometerCurve(t *testing.T) {
	o := newOdometer(profiles.Curve{{Cadence: 150, Length: 0.9}, {Cadence: 200, Length: 1.1}})
	o.tick(0, detect.Rhythm{State: detect.Walking, Cadence: 175})
	for k := range 30 {
		o.step(float64(k) * 60 / 175)
	}
	if got := o.position(); math.Abs(got-30) > 1e-9 {
		t.Errorf("30 steps at 175 steps/min are %.3f m, want 1 m each", got)
	}
}
