// Package sinc reads sampled sound between its samples.
package sinc

import (
	"math"

	"steadfoot/audio"
)

// Taps is how many samples around a place make the value there: Before of them
// up to the place itself, the others after it.
const (
	Taps   = 32
	Before = Taps / 2
)

// phases between two samples that the table knows; between them it is linear.
// Its error is (π/phases)²/8 of the signal at half the sample rate: -106 dB.
const phases = 512

// table[p][k] weighs sample k of the window for a place p/phases after sample
// Before-1 of it. The last row is the first one, a sample later.
var table = makeTable()

// makeTable tabulates sinc under Kaiser's window. As the place only slides, the
// band needs no limit below half the sample rate.
func makeTable() *[phases + 1][Taps]float32 {
	var t [phases + 1][Taps]float32
	for p := range t {
		var w [Taps]float64
		sum := 0.0
		for k := range w {
			x := float64(k-(Before-1)) - float64(p)/phases
			w[k] = sinc(x) * kaiser(x/Before)
			sum += w[k]
		}
		for k, v := range w {
			t[p][k] = float32(v / sum) // what is constant stays so
		}
	}
	return &t
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// beta of the window: images are 94 dB down up to 16 kHz, as measured in the test.
const beta = 9

// kaiser is the window at x, -1 to 1 (Kaiser and Schafer 1980, IEEE Trans. ASSP
// 28:105).
func kaiser(x float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel(beta*math.Sqrt(1-x*x)) / bessel(beta)
}

// bessel is the modified Bessel function of the first kind and order 0, by its
// power series.
func bessel(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= (x / 2 / k) * (x / 2 / k)
		sum += term
	}
	return sum
}

// At is the sound at a place in the window: frac, 0 to below 1, after sample
// Before-1. It allocates nothing.
func At(window *[Taps]audio.Frame, frac float64) audio.Frame {
	at := frac * phases
	p := int(at)
	f := float32(at - float64(p))
	lo, hi := &table[p], &table[p+1]
	var l, r float32
	for k, v := range window {
		w := lo[k] + f*(hi[k]-lo[k])
		l += w * v[0]
		r += w * v[1]
	}
	return audio.Frame{l, r}
}
