package sim

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A coach that asks for too much too late makes the walker swing to and fro
// around the target. Such a swing takes longer than the cadence is averaged over
// and no longer than a few answers to words: 5 to 40 s.
const (
	swingS            = 120.0 // it is looked for in stretches of this length, s
	shortest, longest = 5.0, 40.0
)

// Swing is the strongest swing to and fro of the cadence in any two minutes.
type Swing struct {
	Amplitude float64 // of its sine, steps/min
	Period    float64 // s
	From      float64 // s, where the two minutes begin
	Turns     int     // the longest chain of excursions from the band, on one side and the other in turn, each within a minute of the one before
}

// Driven tells whether coaching drove the walker into swinging: there and back
// twice out of the band, or a swing from end to end of it that is more than
// twice what the same walker does alone.
func Driven(coached, alone *Result) bool {
	s := coached.Swing()
	return s.Turns >= 4 || s.Amplitude >= (coached.High-coached.Low)/2 && s.Amplitude > 2*alone.Swing().Amplitude
}

// Swing looks for the highest peak at a period of 5 to 40 s in the spectra of
// two-minute stretches of the cadence, which overlap by half, with a Hann window
// and without their linear trend. A single jump or answer has no peak there: its
// spectrum only falls.
func (r *Result) Swing() Swing {
	from, cadence := r.Cadence()
	n := int(swingS / tickS)
	var most Swing
	fft, x := fourier.NewFFT(n), make([]float64, n)
	var line []complex128
	for at := 0; at+n <= len(cadence); at += n / 2 {
		window(x, cadence[at:at+n])
		line = fft.Coefficients(line, x)
		// A sine of amplitude a has a·n/4 in its line, by the window's mean of 1/2.
		size := func(k int) float64 { return 4 * math.Hypot(real(line[k]), imag(line[k])) / float64(n) }
		for k := int(math.Ceil(swingS / longest)); float64(k) <= swingS/shortest; k++ {
			if a := size(k); a > most.Amplitude && a >= size(k-1) && a >= size(k+1) {
				most.Amplitude, most.Period, most.From = a, swingS/float64(k), from+float64(at)*tickS
			}
		}
	}
	most.Turns = r.turns(from, cadence)
	return most
}

// turns is the longest chain of excursions on alternate sides.
func (r *Result) turns(from float64, cadence []float64) (longest int) {
	var last spell
	chain := 0
	for _, s := range r.spells(from, cadence) {
		if s.zone == 0 || s.length() < outS || s.from < startS {
			continue
		}
		if s.zone == -last.zone && s.from-last.to <= overS {
			chain++
		} else if s.zone != last.zone || s.from-last.to > overS {
			chain = 1
		}
		longest, last = max(longest, chain), s
	}
	return longest
}

// window copies from into x, takes the linear trend away and applies a Hann
// window.
func window(x, from []float64) {
	n := float64(len(x))
	mid := (n - 1) / 2
	var mean, slope float64
	for i, v := range from {
		mean += v / n
		slope += v * (float64(i) - mid) * 12 / (n * (n*n - 1))
	}
	for i, v := range from {
		hann := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n)
		x[i] = (v - mean - slope*(float64(i)-mid)) * hann
	}
}
