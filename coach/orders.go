package coach

import "steadfoot/coach/event"

// rank orders what is to be said; a higher one goes first.
type rank uint8

const (
	rankReminder rank = iota // the coach's own lines
	rankCadence              // quicken, ease, settled and the like
	rankSession              // rep start, countdown, rep end
	rankSafety               // what the walker must know: not heard, faults
)

// wish is a cue that somebody wants said. Whether it is, and when, the queue
// decides: one at a time, by rank, and never after it has lost its meaning.
type wish struct {
	cue   event.Cue // T is when it is wanted, s; not before the lead has passed
	rank  rank
	until float64 // it may not start after this, s

	counts bool // it waits until it is not one of more than there may be in a minute
}

// orders is what the course of the session brings about.
type orders struct {
	events []event.Event // parts, targets and laps, to be told as they are
	wishes []wish
	clear  string // not empty: what was wished for before has lost its meaning, and why
}

// goal is what holds now.
type goal struct {
	cadence, low, high float64 // steps/min; cadence 0: free
	pace               float64 // s/km; 0 when unknown
	beat               bool    // whether a beat is wanted here at all
	mode               BeatMode
}
