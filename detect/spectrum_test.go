package detect

import (
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Against gonum's, at every size.
func TestSpectrum(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for n := 8; n <= 4096; n *= 2 {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		want := fourier.NewFFT(n).Coefficients(nil, x)
		got := make([]complex128, n/2+1)
		s := newSpectrum(n)
		s.coefficients(got, x)
		for k := range want {
			if cmplx.Abs(got[k]-want[k]) > 1e-12*float64(n) {
				t.Fatalf("%d samples: coefficient %d is %v, want %v", n, k, got[k], want[k])
			}
		}
		if a := testing.AllocsPerRun(5, func() { s.coefficients(got, x) }); a != 0 {
			t.Errorf("%v allocations, want none", a)
		}
	}
}

func BenchmarkSpectrum(b *testing.B) {
	x, dst := make([]float64, 512), make([]complex128, 257)
	for i := range x {
		x[i] = float64(i * i % 17)
	}
	b.Run("here", func(b *testing.B) {
		s := newSpectrum(512)
		for b.Loop() {
			s.coefficients(dst, x)
		}
	})
	b.Run("gonum", func(b *testing.B) {
		f := fourier.NewFFT(512)
		for b.Loop() {
			f.Coefficients(dst, x)
		}
	})
}
