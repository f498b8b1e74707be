package coach

import (
	"math"
	"testing"
)

// TestSymmetry has worked values of the published formulas: the index of
// Robinson, Herzog and Nigg 1987 (formula as in doi
// 10.1186/s13102-021-00355-4, eq. 1) and the angle of Zifchock et al. 2008 (from
// memory).
func TestSymmetry(t *testing.T) {
	near(t, "SI .305/.295", SymmetryIndex(0.305, 0.295), 3.3333, 1e-4)
	near(t, "SI .310/.290", SymmetryIndex(0.310, 0.290), 6.6667, 1e-4)
	near(t, "SI turned", SymmetryIndex(0.295, 0.305), -3.3333, 1e-4)
	near(t, "SA .305/.295", SymmetryAngle(0.305, 0.295), 1.0609, 1e-4)
	near(t, "SA .310/.290", SymmetryAngle(0.310, 0.290), 2.1213, 1e-4)
	near(t, "SA even", SymmetryAngle(0.3, 0.3), 0, 1e-12)
	// "Asymmetrical" is a symmetry angle of 1.2 % (Tucker and Hanley 2016):
	// a ratio of .96299, an index of 3.77 %.
	near(t, "SA of the ratio", SymmetryAngle(1, 0.96299), 1.2, 1e-3)
	near(t, "SI of the ratio", SymmetryIndex(1, 0.96299), 3.77, 5e-3)
}

var strides = []float64{.600, .606, .594, .603, .597, .600, .609, .591, .600, .600}

// TestVariability has a worked series: CV with n − 1, not n (which would be
// .83666 %).
func TestVariability(t *testing.T) {
	near(t, "CV", CV(strides), 0.88192, 1e-5)
	near(t, "MAD", MAD(strides), 0.0030, 1e-12)
	if strides[1] != .606 {
		t.Error("the values were put in another order")
	}
	near(t, "median of an odd number", Median([]float64{3, 1, 2}), 2, 0)
	near(t, "median of an even number", Median([]float64{4, 1, 2, 3}), 2.5, 0)
	for _, few := range []float64{CV(nil), CV([]float64{1}), Median(nil), MAD(nil)} {
		if !math.IsNaN(few) {
			t.Errorf("too few values give %v", few)
		}
	}
}

// TestWithoutMissed: one missed and one invented step must not make an even
// walk look variable.
func TestWithoutMissed(t *testing.T) {
	faulty := append([]float64{1.2, 0.31 / 2, 0.29}, strides...)
	if CV(faulty) < 10 {
		t.Fatalf("CV of the faulty series is only %v", CV(faulty))
	}
	near(t, "CV without them", CV(WithoutMissed(nil, faulty)), 0.88192, 1e-5)
	if got := WithoutMissed(nil, nil); len(got) != 0 {
		t.Errorf("no intervals give %v", got)
	}
}
