package circular

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, name string, got, want, within float64) {
	t.Helper()
	if d := math.Abs(got - want); !(d <= within) {
		t.Errorf("%s is %.16g, want %.16g ± %g", name, got, want, within)
	}
}

func degrees(list ...float64) []float64 {
	for i := range list {
		list[i] *= math.Pi / 180
	}
	return list
}

// TestPublished: the two approximations of p, each against the page that prints
// it to all digits; R, z and the other p were computed from the same angles.
func TestPublished(t *testing.T) {
	// docs.astropy.org, astropy.stats.rayleightest: 130, 90, 0 and 145 degrees.
	s := Of(degrees(130, 90, 0, 145))
	near(t, "R", s.R, .5961970, 1e-6)
	near(t, "z", s.Z(), 1.4218035, 1e-6)
	near(t, "p by Wilkie", s.Wilkie(), .2563487733797317, 1e-12)
	near(t, "p by Zar", s.Zar(), .2546777, 1e-6)
	// pingouin-stats.org, circ_rayleigh.
	s = Of([]float64{.785, 1.570, 3.141, .839, 5.934})
	near(t, "R", s.R, .4972303, 1e-6)
	near(t, "z", s.Z(), 1.2361901, 1e-6)
	near(t, "p by Wilkie", s.Wilkie(), .3061999, 1e-6)
	near(t, "p by Zar", s.Zar(), .3048435876500138, 1e-12)
}

// TestEven: eight angles evenly spaced have no direction.
func TestEven(t *testing.T) {
	s := Of(degrees(0, 45, 90, 135, 180, 225, 270, 315))
	near(t, "R", s.R, 0, 1e-9)
	near(t, "p by Zar", s.Zar(), 1, 1e-9)
	near(t, "p by Wilkie", s.Wilkie(), 1, 1e-9)
	near(t, "variance", s.Variance(), 1, 1e-9)
	if !math.IsInf(s.SD(), 1) || s.Mean != 0 {
		t.Errorf("SD %v, mean %v", s.SD(), s.Mean)
	}
}

// TestAsynchronies: eight steps some 20 ms before a beat every 300 ms (computed).
func TestAsynchronies(t *testing.T) {
	const period = 300.0
	var angles []float64
	for _, ms := range []float64{-20, -25, -15, -18, -22, -30, -10, -20} {
		angles = append(angles, 2*math.Pi*ms/period)
	}
	s := Of(angles)
	near(t, "R", s.R, .992948, 1e-6)
	near(t, "z", s.Z(), 7.887567, 1e-6)
	near(t, "mean in ms", s.Mean*period/(2*math.Pi), -20, 1e-3)
	near(t, "SD in ms", s.SD()*period/(2*math.Pi), 5.680, 1e-3)
	near(t, "p by Zar", s.Zar(), 1.755e-5, 1e-8)
}

// TestChance: of angles that lie anywhere, one set in twenty has p below 0.05.
func TestChance(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	const sets = 4000
	zar, wilkie := 0, 0
	for range sets {
		angles := make([]float64, 20)
		for i := range angles {
			angles[i] = 2 * math.Pi * r.Float64()
		}
		s := Of(angles)
		if s.Zar() < 0.05 {
			zar++
		}
		if s.Wilkie() < 0.05 {
			wilkie++
		}
	}
	sd := math.Sqrt(0.05 * 0.95 / sets)
	near(t, "share by Zar", float64(zar)/sets, 0.05, 4*sd)
	near(t, "share by Wilkie", float64(wilkie)/sets, 0.05, 4*sd)
}

func TestFew(t *testing.T) {
	if s := Of(nil); s != (Summary{}) || s.Zar() != 1 || s.Wilkie() != 1 {
		t.Errorf("none: %+v, %v, %v", s, s.Zar(), s.Wilkie())
	}
	s := Of([]float64{3})
	near(t, "mean", s.Mean, 3, 1e-12)
	near(t, "R", s.R, 1, 1e-12)
	near(t, "SD", s.SD(), 0, 1e-7)
	for n := 1; n < 60; n++ {
		s := Summary{N: n, R: 1}
		if p := s.Wilkie(); !(p >= 0 && p <= 1) {
			t.Errorf("%d the same: p by Wilkie is %v", n, p)
		}
		if p := s.Zar(); !(p > 0 && p <= 1) {
			t.Errorf("%d the same: p by Zar is %v", n, p)
		}
	}
}
