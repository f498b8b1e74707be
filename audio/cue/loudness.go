package cue

import (
	"math"
	"math/cmplx"

	"steadfoot/audio"
)

// momentary is the window of momentary loudness, 400 ms (ITU-R BS.1770 block).
const momentary = audio.Rate * 4 / 10

// biquad is a second-order filter, transposed direct form II.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	s1, s2             float64
}

func (f *biquad) next(x float64) float64 {
	y := f.b0*x + f.s1
	f.s1 = f.b1*x - f.a1*y + f.s2
	f.s2 = f.b2*x - f.a2*y
	return y
}

// response is the filter's gain at a frequency in Hz, at audio.Rate.
func (f *biquad) response(freq float64) float64 {
	z := cmplx.Exp(complex(0, -2*math.Pi*freq/audio.Rate))
	up := complex(f.b0, 0) + complex(f.b1, 0)*z + complex(f.b2, 0)*z*z
	down := 1 + complex(f.a1, 0)*z + complex(f.a2, 0)*z*z
	return cmplx.Abs(up / down)
}

// kWeight returns the two stages of the K filter at 48 kHz, coefficients of
// ITU-R BS.1770: a high shelf for the head and a high-pass.
func kWeight() (shelf, high biquad) {
	shelf = biquad{b0: 1.53512485958697, b1: -2.69169618940638, b2: 1.19839281085285,
		a1: -1.69065929318241, a2: 0.73248077421585}
	high = biquad{b0: 1, b1: -2, b2: 1, a1: -1.99004745483398, a2: 0.99007225036621}
	return shelf, high
}

// kPower gives the K-weighted power of each sample of one ear, at audio.Rate. It
// goes on for 50 ms after the last sample while the filter rings.
func kPower(mono []float64) []float64 {
	power := make([]float64, len(mono)+audio.Rate/20)
	shelf, high := kWeight()
	for i := range power {
		x := 0.0
		if i < len(mono) {
			x = mono[i]
		}
		y := high.next(shelf.next(x))
		power[i] = y * y
	}
	return power
}

// lkfs turns a mean K-weighted power, left and right added, into loudness.
func lkfs(meanPower float64) float64 { return -0.691 + 10*math.Log10(meanPower) }

// Loudness is the greatest momentary loudness of frames, in LKFS: the loudest
// 400 ms at any position, after ITU-R BS.1770. Frames are stereo at audio.Rate
// with full scale at ±1. It is the measure for sounds of about a second, too
// short for the gated loudness of a programme. Silence gives -Inf.
func Loudness(frames [][2]float64) float64 {
	ear := make([]float64, len(frames))
	var power [2][]float64
	for ch := range power {
		for i, f := range frames {
			ear[i] = f[ch]
		}
		power[ch] = kPower(ear)
	}
	for i, p := range power[1] {
		power[0][i] += p
	}
	return loudest(power[0])
}

// bothEars is the Loudness of a mono sound that both ears get.
func bothEars(mono []float64) float64 { return loudest(kPower(mono)) + 10*math.Log10(2) }

// loudest is the loudness of the 400 ms with the most power.
func loudest(power []float64) float64 {
	var sum, most float64
	for i, p := range power {
		sum += p
		if i >= momentary {
			sum -= power[i-momentary]
		}
		most = max(most, sum)
	}
	return lkfs(most / momentary)
}
