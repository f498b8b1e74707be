package detect

import "math"

const (
	halvePairs = 6     // taps other than 0 on each side of the middle one
	fineRate   = 40000 // Hz; more says no more about footsteps below highestHz
)

// halver halves the sample rate as often as it was told to. Above highestHz
// there is nothing the evidence needs, and a transform of half as many samples
// costs half as much.
//
// Each stage is a half-band filter, a sinc under a Hamming window, whose even
// taps are 0. At 48 kHz it takes 1 dB off at 9 kHz and delays by 0.2 ms.
type halver struct {
	taps   [halvePairs]float64
	stages [][]float64 // input of each stage, after the end of the one before
}

// newHalver makes one for input of n samples, a multiple of 2^stages.
func newHalver(stages, n int) *halver {
	h := &halver{}
	sum := 0.0
	for i := range h.taps {
		k := float64(2*i + 1)
		h.taps[i] = math.Sin(math.Pi*k/2) / (math.Pi * k) * (0.54 + 0.46*math.Cos(math.Pi*k/(2*halvePairs)))
		sum += 2 * h.taps[i]
	}
	for i := range h.taps {
		h.taps[i] *= 0.5 / sum // the middle tap is the other half
	}
	for range stages {
		h.stages = append(h.stages, make([]float64, 4*halvePairs-2+n))
		n /= 2
	}
	return h
}

// halvings is how often a rate can be halved and still be fine enough.
func halvings(rate float64) int {
	n := 0
	for ; rate >= fineRate; rate /= 2 {
		n++
	}
	return n
}

// run puts x through all stages. The result is valid until the next call.
func (h *halver) run(x []float64) []float64 {
	const past = 4*halvePairs - 2
	for _, s := range h.stages {
		copy(s[past:], x)
		n := len(x) / 2
		// The results go into x, whose samples are all taken.
		x = x[:n]
		for i := range x {
			w := s[2*i : 2*i+past+1]
			const middle = past / 2
			y := 0.5 * w[middle]
			for k, t := range h.taps {
				y += t * (w[middle-1-2*k] + w[middle+1+2*k])
			}
			x[i] = y
		}
		copy(s, s[2*n:])
	}
	return x
}

// forget drops what was heard.
func (h *halver) forget() {
	for _, s := range h.stages {
		clear(s)
	}
}
