package chirp

import (
	"errors"
	"math"
)

// What makes a chirp believed: a high peak, which noise lacks, and sound that is
// this chirp to a good part, which a click or a tone lacks. The envelope of noise
// is above 6 times its root mean square once in e^36 values; the most seen in 200
// seconds of it was 3.9, with a match of 0.093, and a lone click has 2.1 and 0.028.
// In white noise all chirps were found down to -18 dB over the whole band, and
// 59 of 60 at -20 dB.
const (
	minPeak  = 6.0  // times the rest of the correlation
	minMatch = 0.10 // of the amplitude in the chirp's band and time; -20 dB SNR

	before  = 0.010 // s before the peak that are not the rest
	after   = 0.300 // s after it, where the room still sounds
	restMin = 0.050 // s of rest that are enough
	direct  = 0.020 // s before the peak in which an earlier arrival is looked for
	arrival = 0.5   // of the peak that makes an earlier one the direct sound
	most    = 99.0  // dB; figures of a recording without any noise end here
	clipped = 0.999 // full scale of any format lies above it
)

// Errors of Find.
var (
	ErrSilent  = errors.New("the recording is digital silence")
	ErrMissing = errors.New("no chirp was found in the recording")
	ErrShort   = errors.New("the recording is too short to look for a chirp")
)

// Found is a chirp in a recording.
type Found struct {
	At      float64 // where it begins, in samples from the start, with a fraction
	Peak    float64 // height over the rest of the correlation, dB; above 15.5
	SNR     float64 // chirp to everything else in its band and time, dB; echo counts as noise
	Level   float64 // its own peak level, dB of full scale
	Clipped bool    // the recording is cut off at full scale where it sounds
}

// Find looks for the whole chirp in x, full scale ±1, in either polarity. Where
// echoes are as loud as the direct sound the first of them counts. The error is
// ErrSilent, ErrMissing, or ErrShort for less than the chirp and 0.36 s more.
func (c *Chirp) Find(x []float32) (Found, error) {
	lags := len(x) - len(c.wave) + 1
	if lags < c.samples(before+after+restMin) {
		return Found{}, ErrShort
	}
	if silent(x) {
		return Found{}, ErrSilent
	}
	env, band := c.correlate(x, lags)
	top := 0
	for i, v := range env {
		if v > env[top] {
			top = i
		}
	}
	rest := c.rest(env, top)
	at := c.first(env, top)

	shift, height := vertex(env, at)
	match := 0.0
	if e := energy(band[at : at+len(c.wave)]); e > 0 {
		match = min(1, height/math.Sqrt(c.energy*e))
	}
	// Written so that a recording with samples that are no numbers fails too.
	if !(env[top] >= minPeak*rest && match >= minMatch) {
		return Found{}, ErrMissing
	}
	return Found{
		At:      float64(at) + shift,
		Peak:    min(most, decibel(env[top]/rest)),
		SNR:     min(most, decibel(match/math.Sqrt(1-match*match))),
		Level:   decibel(height / c.energy),
		Clipped: clips(x[at : at+len(c.wave)]),
	}, nil
}

// correlate is the matched filter: the envelope of the correlation of x with the
// chirp for each lag, and x in the chirp's band. The envelope, unlike the
// correlation, has one smooth peak whatever the phase of the path.
func (c *Chirp) correlate(x []float32, lags int) (env, band []float64) {
	c.prepare(len(x))
	size := c.fft.Len()
	padded := make([]float64, size)
	for i, v := range x {
		padded[i] = float64(v)
	}
	of := c.fft.Coefficients(nil, padded)
	both := make([]complex128, size) // positive frequencies alone
	scale := complex(2/float64(size), 0)
	for i := range of {
		if f := c.fft.Freq(i) * c.rate; f < low || f > high {
			of[i] = 0
			continue
		}
		w := c.spectrum[i]
		both[i] = of[i] * complex(real(w), -imag(w)) * scale
	}
	both = c.inverse.Sequence(both, both)
	env = make([]float64, lags)
	for i := range env {
		env[i] = math.Hypot(real(both[i]), imag(both[i]))
	}
	band = c.fft.Sequence(padded, of)
	for i := range band {
		band[i] /= float64(size)
	}
	return env, band
}

// rest is the root mean square of the envelope away from its peak.
func (c *Chirp) rest(env []float64, top int) float64 {
	from, to := max(0, top-c.samples(before)), min(len(env), top+c.samples(after))
	sum := energy(env[:from]) + energy(env[to:])
	return math.Sqrt(sum / float64(from+len(env)-to))
}

// first is the direct sound: the earliest arrival shortly before the highest
// peak that is not much lower.
func (c *Chirp) first(env []float64, top int) int {
	for i := max(1, top-c.samples(direct)); i < top; i++ {
		if env[i] >= arrival*env[top] && env[i] > env[i-1] && env[i] >= env[i+1] {
			return i
		}
	}
	return top
}

// vertex is the highest point of the parabola through a peak and its neighbours:
// where it is, in samples from the peak, -0.5 to 0.5, and how high.
func vertex(env []float64, at int) (shift, height float64) {
	if at == 0 || at == len(env)-1 {
		return 0, env[at]
	}
	a, b, d := env[at-1], env[at], env[at+1]
	bend := a - 2*b + d
	if !(bend < 0) {
		return 0, b
	}
	shift = max(-0.5, min(0.5, 0.5*(a-d)/bend))
	return shift, b - 0.25*(a-d)*shift
}

func (c *Chirp) samples(seconds float64) int { return int(seconds * c.rate) }

func energy(x []float64) (sum float64) {
	for _, v := range x {
		sum += v * v
	}
	return sum
}

func silent(x []float32) bool {
	for _, v := range x {
		if v != 0 {
			return false
		}
	}
	return true
}

// clips tells whether more than a stray sample is at full scale.
func clips(x []float32) bool {
	n := 0
	for _, v := range x {
		if v >= clipped || v <= -clipped {
			n++
		}
	}
	return n > 3
}

func decibel(ratio float64) float64 { return 20 * math.Log10(ratio) }
