package score

import (
	"math"
	"math/rand/v2"
	"testing"
)

// clicks is n times 0.3 s apart.
func clicks(n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = 0.3 * float64(i)
	}
	return t
}

func approx(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, within)
	}
}

// 95 hits, 3 inventions and 5 misses give P .969388, R .95, F .959596: worked
// from the definitions at music-ir.org/mirex/wiki/2016:Audio_Onset_Detection.
func TestWorkedCounts(t *testing.T) {
	truth := clicks(100)
	found := append([]float64{}, truth[5:]...)
	found = append(found, 3.15, 6.15, 9.15)
	r := Match(found, truth, 0.050)
	if r.TP != 95 || r.FP != 3 || r.FN != 5 {
		t.Fatalf("got %d TP %d FP %d FN, want 95, 3, 5", r.TP, r.FP, r.FN)
	}
	approx(t, "P", r.Precision(), 0.969388, 5e-7)
	approx(t, "R", r.Recall(), 0.95, 1e-12)
	approx(t, "F", r.F(), 0.959596, 5e-7)
}

// ±50 ms is MIREX's window (mir_eval/onset.py, window=0.05), ±25 ms that of
// madmom's evaluation/onsets.py.
func TestPairAt26ms(t *testing.T) {
	if r := Match([]float64{1.026}, []float64{1}, 0.050); r.TP != 1 || r.FP != 0 || r.FN != 0 {
		t.Errorf("at ±50 ms: %+v", r)
	}
	if r := Match([]float64{1.026}, []float64{1}, 0.025); r.TP != 0 || r.FP != 1 || r.FN != 1 {
		t.Errorf("at ±25 ms: %+v", r)
	}
}

func TestDoubledAndMerged(t *testing.T) {
	for _, c := range []struct {
		what         string
		found, truth []float64
		tp, fp, fn   int
	}{
		{"doubled", []float64{1.00, 1.01}, []float64{1}, 1, 1, 0},
		{"merged", []float64{1.02}, []float64{1, 1.04}, 1, 0, 1},
		{"chain", []float64{1.04, 1.08}, []float64{1, 1.05}, 2, 0, 0}, // the nearest pair first would leave one over
		{"nothing found", nil, []float64{1}, 0, 0, 1},
		{"nothing there", []float64{1}, nil, 0, 1, 0},
		{"unsorted", []float64{2, 1}, []float64{1.01, 2.01}, 2, 0, 0},
	} {
		if r := Match(c.found, c.truth, 0.050); r.TP != c.tp || r.FP != c.fp || r.FN != c.fn {
			t.Errorf("%s: got %d TP %d FP %d FN, want %d, %d, %d", c.what, r.TP, r.FP, r.FN, c.tp, c.fp, c.fn)
		}
	}
	if r := Match(nil, nil, 0.050); r.F() != 1 {
		t.Errorf("F of silence heard as silence = %v, want 1", r.F())
	}
}

func TestErrors(t *testing.T) {
	truth := clicks(50)
	found := make([]float64, len(truth))
	for i, v := range truth {
		found[i] = v + 0.004 + 0.002*float64(i%2*2-1) // 2 ms and 6 ms late in turn
	}
	found = append(found, truth[7]-0.030) // the nearer of two takes the step
	r := Match(found, truth, 0.050)
	approx(t, "bias", r.Bias(), 0.004, 1e-12)
	approx(t, "spread", r.Spread(), 0.002*math.Sqrt(50.0/49), 1e-12)
	if r.FP != 1 {
		t.Errorf("FP = %d, want 1", r.FP)
	}
}

// The pairing against one that tries everything.
func TestBestPairing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		found, truth := scatter(rng), scatter(rng)
		r := Match(found, truth, 0.050)
		pairs, cost := exhaust(found, truth, 0.050)
		var sum float64
		for _, e := range r.Errors {
			sum += math.Abs(e)
		}
		if r.TP != pairs || math.Abs(sum-cost) > 1e-12 {
			t.Fatalf("found %v truth %v: %d pairs, %v s; want %d, %v s", found, truth, r.TP, sum, pairs, cost)
		}
	}
}

func scatter(rng *rand.Rand) []float64 {
	t := make([]float64, rng.IntN(6))
	for i := range t {
		t[i] = 0.4 * rng.Float64()
	}
	return t
}

func exhaust(found, truth []float64, window float64) (pairs int, cost float64) {
	if len(found) == 0 {
		return 0, 0
	}
	pairs, cost = exhaust(found[1:], truth, window)
	for i, v := range truth {
		e := math.Abs(found[0] - v)
		if e > window {
			continue
		}
		rest := append(append([]float64{}, truth[:i]...), truth[i+1:]...)
		p, c := exhaust(found[1:], rest, window)
		if p, c = p+1, c+e; p > pairs || p == pairs && c < cost {
			pairs, cost = p, c
		}
	}
	return pairs, cost
}

func TestWindows(t *testing.T) {
	truth := clicks(201) // 200 steps/min for 60 s
	exact := Windows(truth, truth, 10)
	if exact.N != 6 || exact.MeanAbs > 1e-9 || exact.Half+exact.Double > 0 {
		t.Errorf("against itself: %+v", exact)
	}
	var half []float64
	for i := 0; i < len(truth); i += 2 {
		half = append(half, truth[i])
	}
	if h := Windows(half, truth, 10); h.Half != 6 || h.Double != 0 {
		t.Errorf("every other step: %+v, want 6 at half tempo", h)
	}
	if d := Windows(truth, half, 10); d.Double != 6 || d.Half != 0 {
		t.Errorf("two for one: %+v, want 6 at double tempo", d)
	}
	if e := Windows(nil, truth, 10); e.N != 6 || math.Abs(e.MeanAbs-200) > 1e-9 {
		t.Errorf("nothing found: %+v, want an error of 200", e)
	}
}

// A line through the steps: exact where they are even, and moved less than the
// mean by a first step that is told late.
func TestSlope(t *testing.T) {
	truth := clicks(51) // 15 s at 200
	got, ok := Slope(truth, 0, 15)
	if !ok {
		t.Fatal("no slope")
	}
	approx(t, "slope of even steps", got, 200, 1e-9)
	late := append([]float64{0.1}, truth[1:]...)
	slope, _ := Slope(late, 0, 15)
	mean, _ := Mean(late, 0, 15)
	if slope <= 200 || slope-200 > (mean-200)/4 {
		t.Errorf("slope %.3f, mean %.3f: want the slope much nearer to 200", slope, mean)
	}
	if _, ok := Slope(truth, 0, 0.5); ok {
		t.Error("a slope through two steps")
	}
	missing := append(append([]float64{}, truth[:25]...), truth[26:]...)
	if s := Slopes(missing, truth, 15); s.N != 1 || s.Close != 0 {
		t.Errorf("a step missed in the middle: %+v, want one window, not close", s)
	}
}

func TestReadings(t *testing.T) {
	truth := append(clicks(101), 40) // 30 s at 200, then a pause
	r := Readings([]Reading{{T: 5, Cadence: 90}, {T: 10.1, Cadence: 198}, {T: 20, Cadence: 203}, {T: 40, Cadence: 1}}, truth, 10)
	if r.N != 2 { // the first comes before a whole window, the last spans the pause
		t.Fatalf("compared %d readings, want 2", r.N)
	}
	approx(t, "mean", r.MeanAbs, 2.5, 1e-9)
	approx(t, "worst", r.Worst, 3, 1e-9)
}

// A reading against the truth over the steps it was taken from.
func TestSameSteps(t *testing.T) {
	truth := clicks(101) // 30 s at 200
	got := SameSteps([]Reading{
		{T: 10, Cadence: 201, From: 6, To: 9.9},
		{T: 20, Cadence: 205, From: 15.99, To: 19.8}, // a first step found early
		{T: 20, Cadence: 150},                        // not known from what
	}, truth, 0.05)
	if got.N != 2 || got.Close != 1 {
		t.Fatalf("%+v, want two readings, one of them close", got)
	}
	approx(t, "mean error", got.MeanAbs, 3, 1e-9)
}

func TestSwaps(t *testing.T) {
	truth := append(clicks(20), 10, 10.3, 10.6) // a pause from 5.7 to 10 s
	right := make([]uint8, len(truth))
	for i := range right {
		right[i] = uint8(i % 2)
	}
	turned := append([]uint8{}, right...)
	for i := 8; i < len(turned); i++ {
		turned[i] = 1 - turned[i]
	}
	anew := append([]uint8{}, right...)
	for i := 20; i < len(anew); i++ {
		anew[i] = 1 - anew[i]
	}
	other := append([]uint8{}, right...)
	for i := range other {
		other[i] = 1 - other[i]
	}
	for _, c := range []struct {
		what  string
		sides []uint8
		want  int
	}{{"right", right, 0}, {"all the other way", other, 0}, {"turned in the middle", turned, 1}, {"anew after the pause", anew, 0}} {
		if got := Swaps(truth, truth, c.sides, right, 0.050); got != c.want {
			t.Errorf("%s: %d swaps, want %d", c.what, got, c.want)
		}
	}
}
