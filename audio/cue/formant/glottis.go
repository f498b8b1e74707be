package formant

import "math"

const (
	openPart = 0.6    // of a period that the glottis is open (from memory: 0.4 to 0.7)
	tiltFreq = 5000.0 // Hz, above which the pulses fall by further 6 dB an octave
	// presence is the corner of a high-pass: under it the voice is softer than
	// a natural one, where wind and tread are loudest and earbuds weakest.
	presence = 2000.0
)

// glottis makes the derivative of the air flow through the vocal folds, which is
// the flow as it is radiated from the lips. Over the open part of a period the
// flow is x² − x³ (Rosenberg's polynomial, as in Klatt's later source), so its
// derivative 2x − 3x² ends with a jump when the folds meet. The jump is smoothed
// over two samples so that it does not depend on where between samples it falls.
type glottis struct {
	rate       float64
	phase      float64 // of the period, 0..1
	tilt, slow float64 // states of the two filters
	kTilt      float64
	kSlow      float64
}

func newGlottis(rate float64) glottis {
	return glottis{
		rate:  rate,
		kTilt: 1 - math.Exp(-2*math.Pi*min(tiltFreq, rate/4)/rate),
		kSlow: 1 - math.Exp(-2*math.Pi*presence/rate),
	}
}

func (g *glottis) next(pitch float64) float64 {
	d := pitch / g.rate
	g.phase += d
	if g.phase >= 1 {
		g.phase--
	}
	y := 0.0
	if x := g.phase / openPart; x < 1 {
		y = 2*x - 3*x*x
	}
	y += smoothJump((g.phase - openPart) / d)
	g.tilt += g.kTilt * (y - g.tilt)
	g.slow += g.kSlow * (g.tilt - g.slow)
	return g.tilt - 0.95*g.slow
}

// smoothJump is what turns a jump of +1 at 0 into one with less energy beyond
// half the rate; t is in samples (a second-order polynomial residual).
func smoothJump(t float64) float64 {
	switch {
	case t >= 0 && t < 1:
		return -(1 - t) * (1 - t) / 2
	case t < 0 && t > -1:
		return (1 + t) * (1 + t) / 2
	}
	return 0
}
