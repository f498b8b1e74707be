package cue

import (
	"math"

	"steadfoot/audio"
)

// aWeight is the A filter at audio.Rate: the poles of IEC 61672 at 20.6, 107.7,
// 737.9 and 12194 Hz, the outer two double, and four zeros at 0 Hz, brought to
// the sample rate by the bilinear transform. That bends the fall above 8 kHz,
// where what is played has next to nothing.
type aWeight struct {
	low, mid, high biquad
	gain           float64
}

func newAWeight() aWeight {
	const f1, f2, f3, f4 = 20.598997, 107.65265, 737.86223, 12194.217
	f := aWeight{low: section(f1, f1, true), mid: section(f2, f3, true), high: section(f4, f4, false), gain: 1}
	f.gain = 1 / f.response(1000)
	return f
}

// section is a filter of second order with real poles at two frequencies in Hz,
// and both zeros at 0 Hz for a high-pass, at half the rate for a low-pass.
func section(fa, fb float64, highPass bool) biquad {
	pole := func(f float64) float64 {
		w := math.Pi * f / audio.Rate
		return (1 - w) / (1 + w)
	}
	a, b := pole(fa), pole(fb)
	s := biquad{b0: 1, b1: 2, b2: 1, a1: -(a + b), a2: a * b}
	if highPass {
		s.b1 = -2
	}
	return s
}

func (f *aWeight) next(x float64) float64 {
	return f.gain * f.high.next(f.mid.next(f.low.next(x)))
}

func (f *aWeight) rest() {
	for _, s := range []*biquad{&f.low, &f.mid, &f.high} {
		s.s1, s.s2 = 0, 0
	}
}

// response is the gain at a frequency in Hz.
func (f *aWeight) response(freq float64) float64 {
	return f.gain * f.low.response(freq) * f.mid.response(freq) * f.high.response(freq)
}
