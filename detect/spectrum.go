package detect

import (
	"math"
	"math/bits"
)

// spectrum transforms windows of 2^k real samples, at least 8. It gives what
// gonum's fourier.FFT gives, which is general, in a third of the time: the
// transform is the dearest thing there is in hearing.
//
// The samples are taken for half as many complex ones, put in bit-reversed
// order, transformed by steps of radix 4 (the first of radix 2 where need be),
// and taken apart again. All memory is taken by newSpectrum.
type spectrum struct {
	n       int
	reverse []int
	turn    []complex128 // exp(-2πi·k/n)
	z       []complex128
}

func newSpectrum(n int) *spectrum {
	m := n / 2
	s := &spectrum{n: n, reverse: make([]int, m), turn: make([]complex128, n), z: make([]complex128, m)}
	shift := bits.UintSize - bits.Len(uint(m)-1)
	for i := range s.reverse {
		s.reverse[i] = int(bits.Reverse(uint(i)) >> shift)
	}
	for k := range s.turn {
		sin, cos := math.Sincos(-2 * math.Pi * float64(k) / float64(n))
		s.turn[k] = complex(cos, sin)
	}
	return s
}

// coefficients fills dst, n/2+1 long, with the sums of x[i]·exp(-2πi·i·k/n) for
// k from 0 to n/2; x is n long.
func (s *spectrum) coefficients(dst []complex128, x []float64) {
	for i, r := range s.reverse {
		s.z[i] = complex(x[2*r], x[2*r+1])
	}
	s.transform()
	m := s.n / 2
	z := s.z
	dst[0] = complex(real(z[0])+imag(z[0]), 0)
	dst[m] = complex(real(z[0])-imag(z[0]), 0)
	for k := 1; k <= m/2; k++ {
		a, b := z[k], z[m-k]
		// The transforms of the even samples and of the odd ones.
		even := complex(0.5*(real(a)+real(b)), 0.5*(imag(a)-imag(b)))
		odd := s.turn[k] * complex(0.5*(imag(a)+imag(b)), -0.5*(real(a)-real(b)))
		dst[k] = even + odd
		d := even - odd
		dst[m-k] = complex(real(d), -imag(d))
	}
}

// transform turns z, in bit-reversed order, into its transform.
func (s *spectrum) transform() {
	z := s.z
	size := 1
	if bits.Len(uint(len(z)))%2 == 0 { // an odd power of 2
		for i := 0; i < len(z); i += 2 {
			z[i], z[i+1] = z[i]+z[i+1], z[i]-z[i+1]
		}
		size = 2
	}
	for ; size < len(z); size *= 4 {
		s.fourfold(size)
	}
}

// fourfold joins each four neighbouring transforms of the given size.
func (s *spectrum) fourfold(size int) {
	step := s.n / (4 * size)
	for from := 0; from < len(s.z); from += 4 * size {
		a, b := s.z[from:from+size], s.z[from+size:from+2*size]
		c, d := s.z[from+2*size:from+3*size], s.z[from+3*size:from+4*size]
		b, c, d = b[:len(a)], c[:len(a)], d[:len(a)]
		for k := range a {
			w1, w2 := s.turn[k*step], s.turn[2*k*step]
			w3 := s.turn[3*k*step]
			// In bit-reversed order the second quarter holds the samples two on.
			p, q, r := b[k]*w2, c[k]*w1, d[k]*w3
			e, f := a[k]+p, a[k]-p
			g, h := q+r, q-r
			h = complex(imag(h), -real(h)) // times -i
			a[k], b[k], c[k], d[k] = e+g, f+h, e-g, f-h
		}
	}
}
