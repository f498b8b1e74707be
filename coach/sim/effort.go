package sim

import "math"

// Effort is how far above the preferred cadence a walker goes, and how that
// fades. Where no source is named the value is the project's choice.
type Effort struct {
	// Start is where between their own cadence and the target they set off: 0
	// is their own, 1 the target.
	Start float64
	// StartError is how far off that they are, %: people notice a change of
	// tempo from 1.5 to 3 % on (Drake and Botte 1993), and cannot be truer.
	StartError float64
	// Most is how far, %, from the preferred cadence they can go.
	Most float64
	// Fades and FadesAway are the time constants of the drift back to the
	// preferred cadence, s: with attention and without.
	Fades, FadesAway float64
}

// will is the effort in the course of a walk.
type will struct {
	Effort
	e float64 // cadence above the preferred one, relative
}

func newWill(f Effort, preferred, target float64, seed uint64) *will {
	w := &will{Effort: f}
	w.add(f.Start*(target/preferred-1) + f.StartError/100*stream(seed, partStart).NormFloat64())
	return w
}

func (w *will) add(e float64) {
	w.e = min(max(w.e+e, -w.Most/100), w.Most/100)
}

// drift lets dt seconds pass.
func (w *will) drift(dt float64, attentive bool) {
	constant := w.FadesAway
	if attentive {
		constant = w.Fades
	}
	w.e *= math.Exp(-dt / constant)
}
