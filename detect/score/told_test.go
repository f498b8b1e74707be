package score

import (
	"math"
	"testing"
)

// told is the steps, each told late seconds after it was.
func told(times []float64, late float64) Told {
	t := Told{Times: times}
	for _, v := range times {
		t.Given = append(t.Given, v+late)
	}
	return t
}

func TestLock(t *testing.T) {
	truth := clicks(20) // 0.3 s apart
	for _, c := range []struct {
		what string
		told Told
		want float64 // when locked, s; NaN: never
	}{
		{"all of them", told(truth, 0.04), 4*0.3 + 0.04},
		{"from the third on", told(truth[2:], 0.04), 6*0.3 + 0.04},
		{"the fourth missed", told(append(append([]float64{}, truth[:3]...), truth[4:]...), 0), 8 * 0.3},
		{"one invented", told(append(append(append([]float64{}, truth[:3]...), 0.75), truth[3:]...), 0), 7 * 0.3},
		{"the third 60 ms off", told(append(append(append([]float64{}, truth[:2]...), 0.66), truth[3:]...), 0), 7 * 0.3},
		{"every other", told([]float64{0, 0.6, 1.2, 1.8, 2.4, 3, 3.6}, 0), math.NaN()},
		{"only four", told(truth[:4], 0), math.NaN()},
	} {
		at, ok := c.told.Lock(truth, 0.050)
		switch {
		case ok == math.IsNaN(c.want):
			t.Errorf("%s: locked %v", c.what, ok)
		case ok:
			approx(t, c.what, at, c.want, 1e-9)
		}
	}
	// Traced back: the first five are told at one time, when the walk was found.
	late := told(truth, 0.04)
	for i := range 5 {
		late.Given[i] = 2
	}
	if at, ok := late.Lock(truth, 0.050); !ok || at != 2 {
		t.Errorf("traced back: %v, %v, want locked at 2 s", at, ok)
	}
}

func TestDelays(t *testing.T) {
	truth := clicks(10)
	var v Values
	v.Got = told(append([]float64{0.1}, truth[1:]...), 0.03).Delays(truth, 0.5, 0.050)
	if v.N() != 8 {
		t.Fatalf("%d delays, want those of the 8 steps from 0.6 s on", v.N())
	}
	approx(t, "median", v.Quantile(0.5), 0.03, 1e-12)
	if b := told(truth, 0).Before(0.8); len(b.Times) != 3 || len(b.Given) != 3 {
		t.Errorf("%d steps before 0.8 s, want 3", len(b.Times))
	}
}

func TestValues(t *testing.T) {
	var v Values
	if !math.IsNaN(v.Worst()) || !math.IsNaN(v.Mean()) {
		t.Error("a value without an occasion")
	}
	for _, x := range []float64{4, 1, 3, 2} {
		v.Note(x, true)
	}
	approx(t, "mean", v.Mean(), 2.5, 0)
	approx(t, "median", v.Quantile(0.5), 2, 0)
	approx(t, "worst", v.Worst(), 4, 0)
	v.Note(0, false)
	approx(t, "mean of those that came", v.Mean(), 2.5, 0)
	approx(t, "80 %", v.Quantile(0.8), 4, 0)
	if !math.IsInf(v.Worst(), 1) {
		t.Errorf("worst %v although one never came", v.Worst())
	}
}

func TestStretches(t *testing.T) {
	s := Stretches([]float64{1, 1.4, 1.8, 6, 6.4, 9})
	if len(s) != 3 || len(s[0]) != 3 || s[1][0] != 6 || s[2][0] != 9 {
		t.Errorf("stretches %v, want three, from 1, 6 and 9 s", s)
	}
	if n := Within([]float64{1, 2, 3, 4}, 1, 4); n != 2 {
		t.Errorf("%d times between 1 and 4, want 2", n)
	}
	if Stretches(nil) != nil {
		t.Error("a stretch without a step")
	}
}
