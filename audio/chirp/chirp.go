// Package chirp makes a short sweep of tones and finds it again in a recording,
// to measure how long sound takes from the program to the ear and back. It is
// signal alone and knows no device.
//
// [New] makes a [Chirp]; play [Chirp.Samples], record from the moment they were
// due, and give the recording to [Chirp.Find]. [Summarise] tells how far several
// tries agree.
package chirp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

// The sweep lies where small earbuds and microphones both work, and above most
// of the noise of wind and traffic. Its length lifts it out of noise of its own
// level by a factor of length times bandwidth, 32 dB.
const (
	low    = 1000.0 // Hz
	high   = 8000.0 // Hz
	length = 0.25   // s
	fades  = 0.4    // share of the length that is fade in and fade out together
)

// Chirp is one sweep at one sample rate. Its methods may be called from one
// goroutine at a time.
type Chirp struct {
	rate     float64
	wave     []float64 // peak 1
	energy   float64   // sum of wave²
	fft      *fourier.FFT
	inverse  *fourier.CmplxFFT
	spectrum []complex128 // of wave, at the size of fft
}

// New makes a chirp for a sample rate in Hz, at least 17000 as it reaches up to
// 8 kHz.
func New(rate int) (*Chirp, error) {
	if rate < 17000 || rate > 1e6 {
		return nil, fmt.Errorf("chirp: sample rate %d Hz, want 17000 to 1000000", rate)
	}
	c := &Chirp{rate: float64(rate), wave: make([]float64, int(length*float64(rate)))}
	for i := range c.wave {
		t := float64(i) / c.rate
		c.wave[i] = math.Sin(2 * math.Pi * t * (low + (high-low)*t/(2*length)))
	}
	window.Tukey{Alpha: fades}.Transform(c.wave)
	for _, v := range c.wave {
		c.energy += v * v
	}
	return c, nil
}

// Len is the length of the chirp in samples: a quarter of a second.
func (c *Chirp) Len() int { return len(c.wave) }

// Samples returns the chirp with its peak at the given level, 1 being full
// scale. It fades in and out over 50 ms each.
func (c *Chirp) Samples(level float64) []float32 {
	out := make([]float32, len(c.wave))
	for i, v := range c.wave {
		out[i] = float32(level * v)
	}
	return out
}

// prepare makes the transforms fit a recording of n samples. The correlation
// wraps round only at lags where the chirp would not end inside it.
func (c *Chirp) prepare(n int) {
	size := 1
	for size < n {
		size *= 2
	}
	if c.fft != nil && c.fft.Len() == size {
		return
	}
	c.fft, c.inverse = fourier.NewFFT(size), fourier.NewCmplxFFT(size)
	padded := make([]float64, size)
	copy(padded, c.wave)
	c.spectrum = c.fft.Coefficients(nil, padded)
}
