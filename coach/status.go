package coach

// State says in one word where the session stands.
type State uint8

// The states. Listening: the walker walks, but the cadence is not yet certain
// enough to go by.
const (
	Waiting State = iota
	Listening
	InBand
	TooSlow
	TooQuick
	Standing
	Deaf
	Ended
)

var stateWords = [...]string{
	Waiting:   "waiting for the start",
	Listening: "listening",
	InBand:    "in the band",
	TooSlow:   "too slow",
	TooQuick:  "too quick",
	Standing:  "not walking",
	Deaf:      "cannot hear",
	Ended:     "ended",
}

// String returns the state in words.
func (s State) String() string {
	if int(s) < len(stateWords) {
		return stateWords[s]
	}
	return "unknown"
}

// Status is what a screen shows of a coach.
type Status struct {
	State     State
	Since     float64 // when that began, s; 0 while waiting
	Cadence   float64 // the last one, steps/min; 0 when there is none
	Low, High float64 // the band, steps/min
}

// Status returns where the session stands after the last event.
func (c *Coach) Status() Status {
	s := Status{State: c.watch.place.what, Since: c.watch.place.since, Cadence: c.watch.cadence}
	s.Low, s.High = c.set.Band()
	switch c.phase {
	case waiting:
		s.State, s.Since = Waiting, 0
	case ended:
		s.State, s.Since = Ended, c.over
	}
	return s
}
