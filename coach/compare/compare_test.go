package compare

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// reps makes n reps of 400 m around a step length and a cadence, with the SD of
// both as shares.
func reps(r *rand.Rand, n int, length, cadence, sd float64) []Rep {
	out := make([]Rep, n)
	for i := range out {
		l, c := length*math.Exp(sd*r.NormFloat64()), cadence*math.Exp(sd*r.NormFloat64())
		out[i] = Rep{Distance: 400, Steps: 400 / l, Time: 400 / l / c * 60}
	}
	return out
}

// TestPartsAddUp: the parts of the change add up to the change of speed, for
// any sets, and turning the sets round turns the signs.
func TestPartsAddUp(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		a := Set{"a", reps(r, 4+r.IntN(6), 1.05, 190, 0.02)}
		b := Set{"b", reps(r, 4+r.IntN(6), 1.05+0.1*r.Float64(), 180+20*r.Float64(), 0.02)}
		ab, err := Sets(a, b, 1)
		if err != nil {
			t.Fatal(err)
		}
		ba, err := Sets(b, a, 1)
		if err != nil {
			t.Fatal(err)
		}
		if d := ab.LogLength.Value + ab.LogCadence.Value - ab.LogSpeed.Value; math.Abs(d) > 1e-12 {
			t.Errorf("the parts miss the whole by %g", d)
		}
		if d := ab.LogSpeed.Value + ba.LogSpeed.Value; math.Abs(d) > 1e-12 {
			t.Errorf("there and back is %g", d)
		}
		speed := (ab.baseLength + ab.Length().Value) * (ab.baseCadence + ab.Cadence().Value) / 60
		if d := speed - ab.baseSpeed - ab.Speed().Value; math.Abs(d) > 1e-9 {
			t.Errorf("length times cadence misses speed by %g m/s", d)
		}
		if s := ab.Seconds(20000); math.Abs(s.Value-(20000/speed-ab.BaseTime(20000))) > 1e-6 || s.Low > s.Value || s.High < s.Value {
			t.Errorf("seconds %+v", s)
		}
	}
}

// Fixed reps: 400 m in 400 steps and 132 s against 392 steps and the same 132 s:
// the step is 2.04 % longer and the cadence 2 % lower, the speed the same.
func TestKnown(t *testing.T) {
	same := func(steps float64) []Rep {
		return []Rep{{Distance: 400, Time: 132, Steps: steps}, {Distance: 400, Time: 132, Steps: steps}, {Distance: 400, Time: 132, Steps: steps}, {Distance: 400, Time: 132, Steps: steps}}
	}
	r, err := Sets(Set{"normal", same(400)}, Set{"drill", same(392)}, 1)
	if err != nil {
		t.Fatal(err)
	}
	for what, v := range map[string][2]float64{
		"length":  {r.Length().Value, 400.0/392 - 1},
		"cadence": {r.Cadence().Value, (392 - 400.0) / 132 * 60},
		"speed":   {r.LogSpeed.Value, 0},
	} {
		if math.Abs(v[0]-v[1]) > 1e-9 {
			t.Errorf("%s %v, want %v", what, v[0], v[1])
		}
	}
}

// TestCoverage: over made experiments the nominal 95 % intervals must hold the
// truth in 90 to 97 %.
func TestCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 5))
	for _, n := range [][2]int{{4, 4}, {5, 4}, {6, 6}, {4, 8}, {12, 12}} {
		const tries = 250
		var in [3]int
		for k := range tries {
			a, b := reps(r, n[0], 1.05, 190, 0.01), reps(r, n[1], 1.05*1.01, 190*0.995, 0.015)
			res, err := Sets(Set{"a", a}, Set{"b", b}, uint64(k))
			if err != nil {
				t.Fatal(err)
			}
			truth := triple{math.Log(1.01), math.Log(0.995), math.Log(1.01 * 0.995)}
			for i, c := range []Change{res.LogLength, res.LogCadence, res.LogSpeed} {
				if truth[i] >= c.Low && truth[i] <= c.High {
					in[i]++
				}
			}
		}
		all := float64(in[0]+in[1]+in[2]) / (3 * tries)
		t.Logf("%d and %d reps: %.1f %%", n[0], n[1], 100*all)
		if !(all >= 0.90 && all <= 0.97) {
			t.Errorf("%d and %d reps: %.1f %% of the intervals hold the truth, want 90 to 97", n[0], n[1], 100*all)
		}
	}
}

func TestRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	good := Set{"normal", reps(r, 5, 1.05, 190, 0.01)}
	if _, err := Sets(good, Set{"drill", good.Reps[:2]}, 1); err == nil || !strings.Contains(err.Error(), "drill: 2 of at least 4 reps") {
		t.Errorf("two reps: %v", err)
	}
	unmarked := append([]Rep{{Time: 100, Steps: 300}}, good.Reps...)
	if _, err := Sets(Set{"x", unmarked}, good, 1); !errors.Is(err, ErrUnmarked) {
		t.Errorf("unmarked: %v", err)
	}
	for _, bad := range []Rep{{Distance: 400}, {Distance: 400, Time: 1}, {Distance: 400, Time: math.NaN(), Steps: 3}, {Distance: math.Inf(1), Time: 1, Steps: 1}} {
		if _, err := Sets(Set{"x", append([]Rep{bad}, good.Reps...)}, good, 1); err == nil {
			t.Errorf("%+v is taken", bad)
		}
	}
}

func TestSameSeed(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	a, b := Set{"a", reps(r, 5, 1, 190, 0.01)}, Set{"b", reps(r, 4, 1, 190, 0.01)}
	x, _ := Sets(a, b, 7)
	y, _ := Sets(a, b, 7)
	if x != y {
		t.Error("the same seed gives two results")
	}
}
