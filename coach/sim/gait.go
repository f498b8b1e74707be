package sim

import (
	"math"
	"math/rand/v2"
)

// Gait is the walk without any outside: its cadence and how it scatters.
type Gait struct {
	// Preferred is the cadence walked unasked and fresh, steps/min. Elites race
	// at 194 to 205 (Hanley, Bissas and Drake, World Cup 2008); what a club
	// walker does unasked is the project's choice.
	Preferred float64
	// Length is the step length when fresh, m: elites 1.08 to 1.23 (same), a
	// club walker's less.
	Length float64
	// Unevenness is the symmetry index of the step times, %. 3.8 is a symmetry
	// angle of 1.2 %, where Tucker and Hanley (2016) call it asymmetrical.
	Unevenness float64
	// StrideCV is the coefficient of variation of the stride time, %: 1.3 in
	// healthy young adults (Hausdorff et al., PhysioNet gait-maturation-db).
	StrideCV float64
	// LongRange is the share of the stride time's power that is slow and
	// correlated over minutes, 0 to 1: without a metronome a free walk's
	// stride times have a DFA exponent of about 0.75 to 0.9 (Hausdorff et al.
	// 1996). The share that gives it is the project's choice; the tests hold
	// the exponent.
	LongRange float64
	// Motor is the share of the rest that comes from the leg, which comes down
	// a little early or late, and not from the timekeeper in the head (Wing and
	// Kristofferson 1973, from memory). The value is the project's choice.
	Motor float64
}

// flickerSteps are the memories of the slow noise in steps. Equal parts of
// first-order noises an octave or two apart add up to about 1/f, here from a
// second or so to five minutes.
var flickerSteps = [...]float64{4, 16, 64, 256, 1024}

// scatter makes the noise of the gait.
type scatter struct {
	timekeeper, motor, slow *rand.Rand
	slowSD, keeperSD        float64 // of the interval, relative
	motorSD                 float64 // of the contact, in steps' time, relative
	bank                    [len(flickerSteps)]float64
	leg                     float64 // displacement of the last contact, relative
}

// newScatter shares out the power. A stride is two steps, so of the stride time
// T the slow part has SD slow·T, independent timekeeper errors of each step
// keeper/√2·T, and the displacements of its two ends motor/√2·T.
func newScatter(seed uint64, g Gait) *scatter {
	cv := g.StrideCV / 100
	quick := cv * math.Sqrt(2*(1-g.LongRange))
	n := &scatter{
		timekeeper: stream(seed, partTimekeeper),
		motor:      stream(seed, partMotor),
		slow:       stream(seed, partSlow),
		slowSD:     cv * math.Sqrt(g.LongRange),
		keeperSD:   quick * math.Sqrt(1-g.Motor),
		motorSD:    quick * math.Sqrt(g.Motor),
	}
	for i := range n.bank {
		n.bank[i] = n.slow.NormFloat64()
	}
	return n
}

// next returns by how much the next interval is off: what the timekeeper gives
// and what the leg adds, both relative to the interval.
func (n *scatter) next() (keeper, leg float64) {
	var sum float64
	for i, steps := range flickerSteps {
		keep := math.Exp(-1 / steps)
		n.bank[i] = keep*n.bank[i] + math.Sqrt(1-keep*keep)*n.slow.NormFloat64()
		sum += n.bank[i]
	}
	keeper = n.slowSD*sum/math.Sqrt(float64(len(n.bank))) + n.keeperSD*n.timekeeper.NormFloat64()
	was := n.leg
	n.leg = n.motorSD * n.motor.NormFloat64()
	return keeper, n.leg - was
}
