package claps

import "math"

// octaves are the middles of the bands a clap must be heard in, Hz, each an octave
// wide. Below them steps thump and wind rumbles.
var octaves = [...]float64{1000, 2000, 4000, 7000}

const (
	frameS  = 0.005
	silence = 1e-8 // mean square taken as silence, full scale 1: a microphone's own noise
	absurd  = 1e6  // no sample is as large
)

// levels turns sound into a level for every octave and frame.
type levels struct {
	bands []octave
	hop   int // samples of a frame
	fill  int // samples of the present one that are there
}

// octave is a band-pass of two poles, a state variable filter in the trapezoidal
// form (Zavalishin, The Art of VA Filter Design, ch. 3), and the energy of the
// present frame in it.
type octave struct {
	g, k, a  float64
	ic1, ic2 float64
	energy   float64
}

func newLevels(rate float64) levels {
	l := levels{hop: max(1, int(math.Round(rate*frameS)))}
	for _, hz := range octaves {
		if hz > 0.4*rate {
			break
		}
		o := octave{g: math.Tan(math.Pi * hz / rate), k: math.Sqrt2 / 2}
		o.a = 1 / (1 + o.g*(o.g+o.k))
		l.bands = append(l.bands, o)
	}
	return l
}

// take takes samples up to the end of a frame, and puts its levels, in dB, into
// to when full. It returns how many it took.
func (l *levels) take(samples []float64, to *frame) (n int, full bool) {
	n = min(len(samples), l.hop-l.fill)
	for b := range l.bands {
		l.bands[b].run(samples[:n])
	}
	if l.fill += n; l.fill < l.hop {
		return n, false
	}
	l.fill = 0
	to.sum = 0
	for b := range l.bands {
		o := &l.bands[b]
		to.band[b] = 10 * math.Log10(o.energy/float64(l.hop)+silence)
		to.sum += to.band[b] / float64(len(l.bands))
		o.energy = 0
	}
	return n, true
}

// forget drops what was heard.
func (l *levels) forget() {
	l.fill = 0
	for b := range l.bands {
		o := &l.bands[b]
		o.ic1, o.ic2, o.energy = 0, 0, 0
	}
}

func (o *octave) run(samples []float64) {
	for _, x := range samples {
		if !(math.Abs(x) < absurd) { // NaN and infinite too: the filter would never forget them
			x = 0
		}
		v1 := o.a * (o.ic1 + o.g*(x-o.ic2))
		v2 := o.ic2 + o.g*v1
		o.ic1, o.ic2 = 2*v1-o.ic1, 2*v2-o.ic2
		o.energy += o.k * o.k * v1 * v1
	}
}
