package measure

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"steadfoot/detect"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.12g, want %.12g", what, got, want)
	}
}

// NIST StRD, linear regression, Norris: data and certified values from memory
// (itl.nist.gov/div898/strd). That data and values agree to ten digits is what
// says that memory served.
func TestNorris(t *testing.T) {
	y := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
		557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	x := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
		556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	f, err := fitLine(x, y)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", f.Intercept.Value, -0.262323073774029, 1e-10)
	near(t, "its SE", f.Intercept.SD, 0.232818234301152, 1e-10)
	near(t, "slope", f.Slope.Value, 1.00211681802045, 1e-12)
	near(t, "its SE", f.Slope.SD, 0.429796848199937e-3, 1e-12)
	near(t, "residual SD", f.Scatter, 0.884796396144373, 1e-10)
	near(t, "R²", f.R2, 0.999993745883712, 1e-12)
}

func TestCounted(t *testing.T) {
	// 400 m in 360 steps; one step either way is 0.28 %.
	p := Counted(400, 0.4, 360, 0)
	p.Time = 116
	near(t, "length", p.Length().Value, 400.0/360, 1e-12)
	near(t, "its SD", p.Length().SD, 400.0/360*math.Hypot(0.001, 0.4083/360), 1e-6)
	near(t, "cadence", p.Cadence().Value, 360.0/116*60, 1e-9)
	near(t, "pace", p.Pace().Value, 290, 1e-9)
	b := Treadmill(12/3.6, 0.01*12/3.6, 60, 0.1, 195, 0)
	near(t, "belt", b.Distance, 200, 1e-9)
	near(t, "belt SD", b.DistanceSD, 200*math.Hypot(0.01, 0.1/60), 1e-9)
}

func TestCheck(t *testing.T) {
	for what, p := range map[string]Pass{
		"too few":        Counted(400, 0, 5, 0),
		"no distance":    Counted(2, 0, 20, 0),
		"both feet":      Counted(400, 0, 180, 0),
		"is the time":    {Distance: 100, Steps: 100, Time: 10},
		"uncertainty":    {Distance: 100, Steps: 100, StepsSD: math.NaN()},
		"be negative":    {Distance: 100, Steps: 100, Time: -1},
		"at least 10, b": {Distance: 100, Steps: math.NaN()},
	} {
		if err := p.Check(); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// walk makes steps at cadence, from a time on, with jitter in s.
func walk(r *rand.Rand, cadence, from float64, n int, jitter float64) []detect.Step {
	steps := make([]detect.Step, n)
	for i := range steps {
		steps[i] = detect.Step{T: from + float64(i)*60/cadence + jitter*r.NormFloat64(), Heard: true}
	}
	return steps
}

// TestBetween measures many made laps with marks that miss by 0.1 s, and asks
// that the uncertainty it tells is the one it has.
func TestBetween(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	var z2 float64
	const tries = 400
	for range tries {
		cadence, length := 170+40*r.Float64(), 0.9+0.3*r.Float64()
		speed := cadence / 60 * length
		from := 5 + r.Float64()
		to := from + 100/speed
		steps := walk(r, cadence, 1+r.Float64(), int(30+150/length), 0.004)
		p, err := Between(steps, from+0.1*r.NormFloat64(), to+0.1*r.NormFloat64(), 100, 0, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		l := p.Length()
		z2 += (l.Value - length) * (l.Value - length) / (l.SD * l.SD) / tries
		near(t, "length", l.Value, length, 5*l.SD)
	}
	// The mean of squared normal deviates is 1, with an SD of sqrt(2/400).
	near(t, "mean square of error over SD", z2, 1, 0.3)
}

// TestStandingStart: a walker who stood at the mark and set off a second after
// the signal is measured from the first step on.
func TestStandingStart(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	before := walk(r, 180, 0, 30, 0) // up to 9.7 s
	rep := walk(r, 180, 21, 91, 0)   // first contact at 21, last at 51
	p, err := Between(append(before, rep...), 20, 51, 100, 0, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "steps", p.Steps, 91, 1e-9)
	near(t, "cadence", p.Cadence().Value, 180, 1e-9)
	if _, err := Between(append(before, rep...), 15, 51, 100, 0, 0.1); err == nil {
		t.Error("a walker who set off 6 s after the mark is measured")
	}
}

func TestBetweenRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	steps := walk(r, 180, 0, 100, 0)
	hole := append(append([]detect.Step{}, steps[:50]...), steps[60:]...)
	for what, f := range map[string]func() (Pass, error){
		"not after":       func() (Pass, error) { return Between(steps, 10, 10, 100, 0, 0.1) },
		"nobody walks":    func() (Pass, error) { return Between(steps, 1, 60, 100, 0, 0.1) },
		"no steps":        func() (Pass, error) { return Between(nil, 1, 60, 100, 0, 0.1) },
		"walked through":  func() (Pass, error) { return Between(hole, 1, 30, 30, 0, 0.1) },
		"is the distance": func() (Pass, error) { return Between(steps, 1, 30, 800, 0, 0.1) },
	} {
		if p, err := f(); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %+v, %v", what, p, err)
		}
	}
}

// TestTaps taps along with a human hand: 25 ms of scatter, one tap in 25 missed
// and one in 40 doubled. The steps must come out, and the error be as told.
func TestTaps(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 2))
	var z2 float64
	const tries = 300
	miscounted := 0
	for range tries {
		cadence := 160 + 55*r.Float64()
		period := 60 / cadence
		n := 40 + r.IntN(100)
		var taps []float64
		missed, doubled := 0, 0
		for i := range n {
			at := 2 + float64(i)*period + 0.025*r.NormFloat64()
			inside := i > 0 && i < n-1
			if inside && r.Float64() < 1.0/25 {
				missed++
				continue
			}
			taps = append(taps, at)
			if inside && r.Float64() < 1.0/40 {
				doubled++
				taps = append(taps, at+0.06)
			}
		}
		first, second := 2+3.3*period, 2+(float64(n)-2.6)*period
		truth := (second - first) / period
		p, tap, err := Taps(taps, first+0.08*r.NormFloat64(), second+0.08*r.NormFloat64(), truth*1.1, 0, 0.08)
		if err != nil {
			t.Fatal(err)
		}
		if tap.Missed != missed || tap.Doubled != doubled {
			miscounted++ // a tap that is far off its own step looks like another's
		}
		near(t, "steps", p.Steps, truth, 5*p.StepsSD)
		near(t, "cadence", 60/tap.Period.Value, cadence, 1)
		z2 += (p.Steps - truth) * (p.Steps - truth) / (p.StepsSD * p.StepsSD) / tries
	}
	near(t, "mean square of error over SD", z2, 1, 0.35)
	if miscounted > tries/100 {
		t.Errorf("missed and doubled taps miscounted in %d of %d", miscounted, tries)
	}
}

func TestTapsRefuse(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	noise := make([]float64, 60)
	for i := 1; i < len(noise); i++ {
		noise[i] = noise[i-1] + 0.2 + r.ExpFloat64()
	}
	for what, taps := range map[string][]float64{
		"too few":     {1, 2, 3},
		"rhythm":      noise,
		"all at one":  {1, 1, 1, 1, 1, 1, 1, 1, 1},
		"in order":    {9, 8, 7, 6, 5, 4, 3, 2, 1},
		"not in orde": {1, 2, 3, 4, 5, 6, 7, 8, math.NaN()},
	} {
		if _, _, err := Taps(taps, 1, 20, 20, 0, 0.1); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
	good := make([]float64, 60)
	for i := range good {
		good[i] = float64(i) / 3
	}
	if _, _, err := Taps(good, 5, 4, 20, 0, 0.1); err == nil {
		t.Error("cones in the wrong order are taken")
	}
}

// TestLineCoverage: the 95 % interval of the line holds the truth in about 95 %
// of made sets of passes.
func TestLineCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	inside := 0
	const tries = 2000
	for range tries {
		var passes []Pass
		for range 6 {
			c := 180 + 25*r.Float64()
			l := 0.4 + 0.0035*c + 0.008*r.NormFloat64()
			passes = append(passes, Pass{Distance: 400, Steps: 400 / l, Time: 400 / l / c * 60})
		}
		line, err := FitLine(passes)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := line.Interval(192)
		if truth := 0.4 + 0.0035*192; truth >= lo && truth <= hi {
			inside++
		}
	}
	near(t, "coverage", float64(inside)/tries, 0.95, 0.015)
}

func TestLineWarns(t *testing.T) {
	pass := func(cadence, length float64) Pass {
		return Pass{Distance: 400, Steps: 400 / length, Time: 400 / length / cadence * 60}
	}
	alike := []Pass{pass(190, 1.05), pass(191, 1.06), pass(192, 1.05)}
	l, err := FitLine(alike)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(l.Warnings, "; ")
	for _, want := range []string{"only 3 passes", "too alike", "do not show"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in %q", want, all)
		}
	}
	if _, err := FitLine(alike[:2]); err == nil {
		t.Error("two passes make a line")
	}
	l, err = FitLine([]Pass{pass(180, 1.02), pass(186, 1.043), pass(192, 1.07), pass(204, 1.12)})
	if err != nil || len(l.Warnings) > 0 {
		t.Fatalf("%v, %q", err, l.Warnings)
	}
	c, err := l.Curve()
	if err != nil || len(c) != 2 || math.Abs(c.Length(180)-1.02) > 0.003 {
		t.Errorf("%v, %v", c, err)
	}
}
