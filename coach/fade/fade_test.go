package fade

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// stretches makes n stretches of 30 s with relative noise of SD sd, of which
// length falls by dl from tl on, and cadence by dc from tc on.
func stretches(r *rand.Rand, n int, sd, tl, dl, tc, dc float64) []Point {
	out := make([]Point, n)
	end := float64(n) * 30
	part := func(t, from float64) float64 { return max(0, (t-from)/(end-from)) }
	for i := range out {
		t := 30*float64(i) + 15
		out[i] = Point{T: t, Span: 30,
			Length:  1.1 * (1 - dl*part(t, tl)) * (1 + sd*r.NormFloat64()),
			Cadence: 195 * (1 - dc*part(t, tc)) * (1 + sd*r.NormFloat64())}
	}
	return out
}

// TestLengthFirst is a walker whose step shortens by 3 % and whose cadence later
// slows by 2 %, as published for elite races (Hanley, Bissas and Drake 2011,
// Sports Biomech 10:110-124: step length falls first, cadence later).
func TestLengthFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	right := 0
	const tries = 200
	for range tries {
		f, err := Of(stretches(r, 60, 0.003, 500, 0.06, 1300, 0.04))
		if err != nil {
			t.Fatal(err)
		}
		if f.First == CadenceFirst {
			t.Fatalf("cadence is said to go first: %+v", f)
		}
		if f.First == LengthFirst {
			right++
		}
	}
	if right < tries*95/100 {
		t.Errorf("length is found to go first in %d of %d", right, tries)
	}
	f, err := Of(stretches(r, 60, 0.002, 900, 0.03, 1e9, 0))
	if err != nil || f.First != LengthFirst || f.Cadence.Shown {
		t.Errorf("%+v, %v", f, err)
	}
	if w := strings.Join(f.Words(), " "); !strings.Contains(w, "Step length fell by") || !strings.Contains(w, "Length went; that cadence did is not shown") {
		t.Error(w)
	}
}

// TestFalseAlarm: without a fade one is shown in at most 5 % of made series.
func TestFalseAlarm(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for _, n := range []int{8, 12, 20, 50, 100} {
		const tries = 1000
		alarms := 0
		for range tries {
			f, err := Of(stretches(r, n, 0.01, 1e9, 0, 1e9, 0))
			if err != nil {
				t.Fatal(err)
			}
			if f.Cadence.Shown {
				alarms++
			}
		}
		t.Logf("%d stretches: %.1f %%", n, 100*float64(alarms)/tries)
		if alarms > tries*5/100 {
			t.Errorf("%d stretches: %d of %d series without a fade show one", n, alarms, tries)
		}
	}
}

// TestInterval: the 95 % interval of the beginning holds it in 88 to 99 %, and
// the cost is the one that was made.
func TestInterval(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	const tries = 400
	in, found := 0, 0
	cost := 0.0
	for range tries {
		from := 300 + 900*r.Float64()
		f, err := Of(stretches(r, 60, 0.004, 1e9, 0, from, 0.03))
		if err != nil {
			t.Fatal(err)
		}
		if !f.Cadence.Shown {
			continue
		}
		found++
		if from >= f.Cadence.Low-15 && from <= f.Cadence.High+15 { // a stretch is 30 s long
			in++
		}
		// The mean loss is half of 3 % over the time it lasted.
		cost += f.Cadence.Cost / (0.015 * (1800 - from)) / tries
	}
	t.Logf("found %d, inside %d, cost %.3f of the made one", found, in, cost)
	if found < tries*98/100 || in < found*88/100 || in > found*99/100 {
		t.Errorf("found %d of %d, inside %d", found, tries, in)
	}
	if math.Abs(cost-1) > 0.05 {
		t.Errorf("the cost is %.3f of the one made", cost)
	}
}

func TestExact(t *testing.T) {
	var t0, v, span []float64
	for i := range 20 {
		t0, span = append(t0, float64(i)*60), append(span, 60)
		v = append(v, 200*math.Exp(-0.001*math.Max(0, float64(i-10))))
	}
	d, err := Find(t0, v, span)
	if err != nil || !d.Shown || d.From != 600 || math.Abs(d.Change-math.Expm1(-0.009)) > 1e-9 {
		t.Errorf("%+v, %v", d, err)
	}
	if d, err := Find(t0, make20(200), span); err != nil || d.Shown {
		t.Errorf("a level series: %+v, %v", d, err)
	}
}

func make20(v float64) []float64 {
	out := make([]float64, 20)
	for i := range out {
		out[i] = v
	}
	return out
}

func TestRefuses(t *testing.T) {
	for _, points := range [][]Point{nil, make([]Point, 7), make([]Point, 20)} {
		if f, err := Of(points); err == nil {
			t.Errorf("%d points give %+v", len(points), f)
		}
	}
	f, err := Of([]Point{{T: 1, Cadence: 1}, {T: 2, Cadence: 1}, {T: 3, Cadence: 1}, {T: 4, Cadence: 1}, {T: 5, Cadence: 1}, {T: 6, Cadence: 1}, {T: 7, Cadence: 1}, {T: 8, Cadence: 1}})
	if err != nil || f.LengthKnown || !strings.Contains(f.Words()[0], "not known") {
		t.Errorf("%+v, %v", f, err)
	}
}
