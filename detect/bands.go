package detect

import "math"

const (
	hopSeconds    = 0.005 // one frame
	windowHops    = 4     // window length in hops, 20 ms
	lowestHz      = 80.0
	highestHz     = 9000.0
	bandsPerOct   = 3.0
	dynamicRange  = 3e-5  // power kept below the recent peak of a band, 45 dB
	quietest      = 1e-13 // power of a band taken as silence, full scale 1
	peakHalfLifeS = 6.0   // of the recent peak
)

// bands turns one window of sound into log energies of third-octave bands, the
// resolution at which the ear and most footfalls are broad. All memory is taken
// by newBands.
type bands struct {
	fft    *spectrum
	window []float64
	buf    []float64
	coef   []complex128
	edges  []int     // band b is bins edges[b] to edges[b+1]-1
	scale  []float64 // per band: to mean power of a bin
	peak   []float64 // recent maximum power
	forget float64   // decay of peak a frame
	level  []float64 // dB, the result
}

// newBands makes the filter bank for windows of n samples at rate Hz.
func newBands(rate float64, n, hop int) *bands {
	size := 1
	for size < n {
		size *= 2
	}
	b := &bands{
		fft:    newSpectrum(size),
		window: make([]float64, n),
		buf:    make([]float64, size),
		coef:   make([]complex128, size/2+1),
		forget: math.Exp2(-float64(hop) / rate / peakHalfLifeS),
	}
	for i := range b.window {
		s := math.Sin(math.Pi * (float64(i) + 0.5) / float64(n))
		b.window[i] = s * s
	}
	b.edges = bandEdges(rate, size)
	count := len(b.edges) - 1
	b.scale = make([]float64, count)
	b.peak = make([]float64, count)
	b.level = make([]float64, count)
	for i := range b.scale {
		b.scale[i] = 1 / (float64(n) * float64(b.edges[i+1]-b.edges[i]))
		b.peak[i] = quietest
	}
	return b
}

// bandEdges spaces the bands evenly in log frequency; where a third of an
// octave is narrower than a bin, the band is one bin wide.
func bandEdges(rate float64, size int) []int {
	bin := rate / float64(size)
	top := math.Min(highestHz, 0.47*rate)
	first := int(math.Max(1, math.Round(lowestHz/bin)))
	edges := []int{first}
	for f := lowestHz; f < top; {
		f *= math.Exp2(1 / bandsPerOct)
		e := int(math.Round(math.Min(f, top) / bin))
		if e > edges[len(edges)-1] {
			edges = append(edges, e)
		}
	}
	return edges
}

// analyse fills level, in dB, from the window x, whose length is that of the
// window given to newBands.
func (b *bands) analyse(x []float64) {
	for i, w := range b.window {
		b.buf[i] = x[i] * w
	}
	b.fft.coefficients(b.coef, b.buf)
	for i := range b.level {
		var p float64
		for k := b.edges[i]; k < b.edges[i+1]; k++ {
			re, im := real(b.coef[k]), imag(b.coef[k])
			p += re*re + im*im
		}
		p *= b.scale[i]
		b.peak[i] = math.Max(b.peak[i]*b.forget, p)
		floor := math.Max(quietest, b.peak[i]*dynamicRange)
		b.level[i] = 10 / math.Ln10 * math.Log(p+floor)
	}
}
