// Package sim is a walker to coach: a simulated race walker in closed loop with
// the real coach, to see whether what the coach says and plays helps.
//
// [Population] draws walkers, and [Run] takes one of them through a session.
// What comes back holds every step and every answer of the coach; [Result]'s
// methods measure it. Everything follows from seeds: the same walker with the
// same coaching gives the same session, and the walker's noise is the same
// whether anybody coaches or not.
//
// # The walker
//
// A walker has a cadence of their own, which tires, and an effort above it,
// which fades when nothing keeps it up. What they hear works on that effort:
// words late, in part or not at all, and the beat by the two corrections that
// people make who move to a beat, of the phase and of the period. Each
// parameter says where its value is from: a published source; "from memory",
// where one was known but not at hand; or "the project's choice", where there
// is none. How much the outcome hangs on the doubtful ones is what cmd/eval's
// table of sensitivities is for.
//
// # The ear
//
// The detector is left out: the walker's true steps reach the coach late, a few
// of them displaced or missed, and the rhythm is computed from them as package
// detect does. The package's tests hold this against the real detector.
package sim

import "math/rand/v2"

// stream is the random source of one part of a walker. Each part has its own,
// so that what one of them draws leaves the others as they were.
func stream(seed, part uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, part)) }

// The parts of a walker that draw random numbers.
const (
	partPerson uint64 = iota
	partStart
	partTimekeeper
	partMotor
	partSlow
	partAttention
	partAnswers
	partEar
)

// span is a range that a parameter is drawn from.
type span struct{ lo, hi float64 }

func (s span) draw(r *rand.Rand) float64 { return s.lo + (s.hi-s.lo)*r.Float64() }
