package review

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"steadfoot/detect"
)

// Stride times with SD(n−1)/mean·100 = 0.88192 %, computed by hand from the
// definition of the coefficient of variation.
var strideTimes = []float64{.600, .606, .594, .603, .597, .600, .609, .591, .600, .600}

// halves splits every stride so that the strides of both feet are strideTimes:
// the right foot lands 0.3 s after the left one.
func halves(strides []float64) []float64 {
	var lengths []float64
	for _, s := range strides {
		lengths = append(lengths, 0.3, s-0.3)
	}
	return append(lengths, 0.3)
}

func TestVariability(t *testing.T) {
	steps := stepsOf(halves(strideTimes))
	check := func(name string, steps []detect.Step, gaps []Gap, want, within float64) {
		t.Helper()
		v := variability(intervals(steps, gaps))
		if v == nil {
			t.Errorf("%s: none", name)
		} else if err := about(*v, want, within); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	check("all heard", steps, nil, 0.88192, 1e-5)

	// Long enough to lose some strides: 60 of the same ten.
	var many []float64
	for range 6 {
		many = append(many, strideTimes...)
	}
	steps = stepsOf(halves(many))
	missed := slices.Delete(slices.Clone(steps), 41, 42)
	check("one step missed", missed, nil, 0.88, 0.06)
	invented := slices.Insert(slices.Clone(steps), 41, detect.Step{T: steps[40].T + 0.05, Side: steps[40].Side.Other(), Heard: true})
	check("one step invented", invented, nil, 0.88, 0.06)
	bridged := slices.Clone(steps)
	for _, i := range []int{10, 41, 42, 77} {
		bridged[i].Heard = false
		bridged[i].T += 0.03 // a guess must not count
	}
	check("bridged steps", bridged, nil, 0.88, 0.06)

	// A change of pace half way is not variability.
	two := halves(many)
	for i := len(two) / 2; i < len(two); i++ {
		two[i] *= 1.1
	}
	check("two paces and a gap", stepsOf(two), []Gap{{Gap: detect.Gap{T: stepsOf(two)[len(two)/2].T + 0.1, Length: 0.1}}}, 0.88, 0.06)

	if v := variability(intervals(stepsOf(halves(strideTimes[:7])), nil)); v != nil {
		t.Errorf("seven strides give %v", *v)
	}
	if v := variability(intervals(nil, nil)); v != nil {
		t.Errorf("no steps give %v", *v)
	}
}

func TestUnevenness(t *testing.T) {
	// SI(0.305 right, 0.295 left) = 3.3333 % and SI(0.310, 0.290) = 6.6667 %, by
	// the formula of Robinson, Herzog and Nigg 1987 as read in
	// doi 10.1186/s13102-021-00355-4, equation 1.
	for _, c := range []struct{ right, left, want float64 }{{.305, .295, 3.3333}, {.310, .290, 6.6667}, {.295, .305, 3.3333}, {.3, .3, 0}} {
		var lengths []float64
		for range 30 {
			lengths = append(lengths, c.right, c.left)
		}
		steps := stepsOf(lengths)
		u := unevenness(intervals(steps, nil))
		if u == nil {
			t.Fatal("none")
		}
		if err := about(*u, c.want, 1e-4); err != nil {
			t.Errorf("right %v, left %v: %v", c.right, c.left, err)
		}
		missed := slices.Delete(slices.Clone(steps), 21, 22)
		missed[30].Heard = false
		if u := unevenness(intervals(missed, nil)); u == nil || about(*u, c.want, 1e-4) != nil {
			t.Errorf("with a missed step: %v, want %v", u, c.want)
		}
	}
}

// TestUnevennessAcrossGap swaps the names of the feet in a gap: the figure of
// each stretch is the same, and so must be that of both.
func TestUnevennessAcrossGap(t *testing.T) {
	var lengths []float64
	for range 30 {
		lengths = append(lengths, .310, .290)
	}
	steps := stepsOf(lengths)
	end := steps[len(steps)-1].T
	for _, s := range stepsOf(lengths) {
		steps = append(steps, detect.Step{T: s.T + end + 10, Side: s.Side.Other(), Heard: true})
	}
	u := unevenness(intervals(steps, []Gap{{Gap: detect.Gap{T: end + 0.5, Length: 9}}}))
	if u == nil || about(*u, 6.6667, 1e-4) != nil {
		t.Errorf("got %v, want 6.6667", u)
	}
}

// TestIntervalsAgainstTruth drops steps at random and looks that no sound
// interval is anything but one step.
func TestIntervalsAgainstTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	var steps []detect.Step
	side := detect.Left
	for i := range 2000 {
		p := 60 / (190 + 15*math.Sin(float64(i)/300))
		at := float64(i) * 60 / 190
		if i > 0 && len(steps) > 0 {
			at = steps[len(steps)-1].T + p*(1+0.02*r.NormFloat64())
		}
		steps = append(steps, detect.Step{T: at, Side: side, Heard: true})
		side = side.Other()
	}
	steps = slices.DeleteFunc(steps, func(detect.Step) bool { return r.Float64() < 0.05 })
	n := 0
	for _, i := range intervals(steps, nil) {
		if i.sound {
			n++
			if i.length > 0.45 {
				t.Fatalf("an interval of %v s passes for one step", i.length)
			}
		}
	}
	if n < 1600 {
		t.Errorf("only %d of about 1800 intervals are sound", n)
	}
}
