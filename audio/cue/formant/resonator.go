package formant

import "math"

// resonator is Klatt's digital resonator, y(n) = A·x(n) + B·y(n−1) + C·y(n−2)
// with C = −exp(−2π·width·T), B = 2·exp(−π·width·T)·cos(2π·freq·T) and
// A = 1 − B − C, so that its gain is 1 at 0 Hz (Klatt 1980, JASA 67:971).
type resonator struct {
	a, b, c float64
	y1, y2  float64
}

// tune sets the centre and the −3 dB width, in Hz.
func (r *resonator) tune(freq, width, rate float64) {
	r.c = -math.Exp(-2 * math.Pi * width / rate)
	r.b = 2 * math.Exp(-math.Pi*width/rate) * math.Cos(2*math.Pi*freq/rate)
	r.a = 1 - r.b - r.c
}

func (r *resonator) next(x float64) float64 {
	y := r.a*x + r.b*r.y1 + r.c*r.y2
	r.y1, r.y2 = y, r.y1
	return y
}

// The nose of a man: its resonance, and how wide it and the dip beside it are
// (from memory).
const (
	nosePole  = 270.0
	noseWidth = 100.0
)

// pair is the pole and the zero that the nose adds. They cancel when both are
// in one place.
type pair struct {
	pole, zero resonator
	x1, x2     float64
}

// tune puts the zero at the given frequency, in Hz; nosePole is a closed nose.
func (p *pair) tune(zero, rate float64) {
	p.pole.tune(nosePole, noseWidth, rate)
	p.zero.tune(zero, noseWidth, rate)
}

func (p *pair) next(x float64) float64 {
	z := &p.zero
	y := (x - z.b*p.x1 - z.c*p.x2) / z.a
	p.x1, p.x2 = x, p.x1
	return p.pole.next(y)
}
