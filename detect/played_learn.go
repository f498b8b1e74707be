package detect

import "math"

const (
	pathDrift  = 2e-4 // variance by which the path may change in a hop, of its power
	pathCredit = 0.5  // how far to believe a hop: the hops of a sound are much alike
	noiseLeast = 0.3  // of what is not expected, least share that is no leak
	noiseSkirt = 0.05 // of the loudest bin: what a short transform spills into the others
)

// pathLearner learns a path by a Kalman filter for each bin of each of its
// parts, after G. Enzner and P. Vary, "Frequency-domain adaptive Kalman filter
// for acoustic echo control in hands-free telephones", Signal Processing 86
// (2006) 1140. What is heard beside the leak is its noise, so it learns where
// the walker is silent and hardly at a step; and it knows how much it does not
// know yet.
type pathLearner struct {
	spec   *playedSpectra
	filter [][]complex128
	doubt  [][]float64 // variance
	noise  []float64   // power of what is heard beside the leak
	before []float64
	open   []float64 // power of what may be wrong with what is expected
	error  []complex128
	pad    []float64 // what the filter did not expect, after zeros
	back   []float64
	turn   int
}

func newPathLearner(sp *playedSpectra) pathLearner {
	l := pathLearner{
		spec: sp, noise: make([]float64, sp.bins), open: make([]float64, sp.bins), before: make([]float64, sp.bins),
		error: make([]complex128, sp.bins), pad: make([]float64, sp.size), back: make([]float64, sp.size),
	}
	for range pathHops {
		l.filter = append(l.filter, make([]complex128, sp.bins))
		l.doubt = append(l.doubt, make([]float64, sp.bins))
	}
	return l
}

func (l *pathLearner) forget() {
	for _, w := range l.filter {
		clear(w)
	}
	clear(l.before)
}

// guess has a direct sound of that power after so many samples, and echoes that
// die away; nothing is known about phases.
func (l *pathLearner) guess(direct int, strength float64) {
	main := direct / l.spec.low
	for i, d := range l.doubt {
		dB := 0.0
		switch {
		case i < main:
			dB = -12
		case i > main:
			dB = -14 - 0.8*float64(i-main)
		}
		for k := range d {
			d[k] = strength * math.Pow(10, dB/10)
		}
	}
}

// ask leaves in open the power, by bin, of what may be wrong with what the
// filter expects in the hop dealt with.
func (l *pathLearner) ask(p *leakPath) {
	clear(l.open)
	for i, d := range l.doubt {
		for k, v := range p.at(i) {
			l.open[k] += d[k] * (real(v)*real(v) + imag(v)*imag(v))
		}
	}
}

// improve learns from what the filter did not expect, in pad; ask comes before.
func (l *pathLearner) improve(p *leakPath) {
	l.spec.fft.coefficients(l.error, l.pad)
	half := float64(l.spec.size) / float64(l.spec.low)
	l.estimateNoise(half)
	for i, d := range l.doubt {
		w, own := l.filter[i], p.powerAt(i)
		for k, v := range p.at(i) {
			g := d[k] / (l.open[k] + half*l.noise[k])
			w[k] += complex(g, 0) * complex(real(v), -imag(v)) * l.error[k]
			ww := real(w[k])*real(w[k]) + imag(w[k])*imag(w[k])
			d[k] += pathDrift*ww - pathCredit*g*own[k]/half*d[k]
		}
	}
	// A part is one hop long; one part in turn is held to that.
	l.turn = (l.turn + 1) % pathHops
	l.constrain(l.filter[l.turn])
}

// estimateNoise takes what is heard beside the leak from the error itself,
// smoothed over neighbours and the hop before.
func (l *pathLearner) estimateNoise(half float64) {
	var most float64
	for k, v := range l.error {
		l.noise[k] = real(v)*real(v) + imag(v)*imag(v)
		most = max(most, l.noise[k])
	}
	last := l.noise[0]
	for k, here := range l.noise {
		n := (last+2*here+l.noise[min(k+1, len(l.noise)-1)])/4 + noiseSkirt*most
		last = here
		both := 0.5 * (n + l.before[k])
		l.before[k] = n
		l.noise[k] = max(both-l.open[k]/half, noiseLeast*both) + quietest
	}
}

// constrain makes a part one hop long.
func (l *pathLearner) constrain(w []complex128) {
	l.spec.fft.samples(l.back, w)
	by := 1 / float64(l.spec.size)
	for i := range l.back {
		if i < l.spec.low {
			l.back[i] *= by
		} else {
			l.back[i] = 0
		}
	}
	l.spec.fft.coefficients(w, l.back)
}
