package score

import (
	"math"
	"testing"
)

// 10 s at 100 Hz of a step of 300 ms and a stride of 600 ms, 0.3 as strong: by
// the formula of Moe-Nilssen and Helbostad 2004 (J Biomech 37:121) the step
// regularity is (1-0.09)/(1+0.09), the stride regularity 1.
func TestRegularity(t *testing.T) {
	x := make([]float64, 1000)
	for i := range x {
		at := float64(i) / 100
		x[i] = 9.81 + math.Cos(2*math.Pi*at/0.3) + 0.3*math.Cos(2*math.Pi*at/0.6)
	}
	r, ok := RegularityOf(x, 30)
	if !ok {
		t.Fatal("too short")
	}
	approx(t, "step regularity", r.Step, 0.8349, 0.01)
	approx(t, "stride regularity", r.Stride, 1, 0.005)
	approx(t, "symmetry", r.Symmetry, 0.8349, 0.01)
	if _, ok := RegularityOf(x[:100], 30); ok {
		t.Error("less than two strides are enough")
	}
	if _, ok := RegularityOf(make([]float64, 1000), 30); ok {
		t.Error("rest is regular")
	}
}
