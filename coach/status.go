package coach

import "steadfoot/coach/event"

// State says in one word where the session stands.
type State uint8

// The states. Listening: the walker walks, but the cadence is not yet certain
// enough to go by. Free: nothing is asked of the walker here.
const (
	Waiting State = iota
	Listening
	InBand
	TooSlow
	TooQuick
	Standing
	Deaf
	Ended
	Free
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
	Free:      "free",
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

	Now      float64    // latest time seen, s
	Paused   bool       //
	Target   float64    // cadence aimed at, steps/min; 0: free
	Pace     float64    // target pace, s/km; 0 when unknown
	Distance float64    // walked since the start, m; 0 when the step length is unknown
	Part     event.Part // the present part of the session
	Done     float64    // of the part, 0 to 1; 0 when it has no planned end
	Left     float64    // of the part: m when its Length is set, otherwise s; 0 when it has no planned end
	Next     event.Part // the part after it; N is 0 when there is none
	Beat     bool       // a beat is playing
	Mode     BeatMode   //
	Level    float64    // of the beat, dB, 0 or less
	Said     event.Cue  // the last cue
}

// Status returns where the session stands after the last event.
func (c *Coach) Status() Status {
	s := Status{
		State: c.watch.place.what, Since: c.watch.place.since, Cadence: c.watch.cadence(),
		Now: c.now, Paused: c.paused,
		Low: c.goal.low, High: c.goal.high, Target: c.goal.cadence, Pace: c.goal.pace,
		Mode: c.pacer.mode, Beat: c.pacer.playing(), Level: c.pacer.last.Level,
		Said: c.voice.last,
	}
	c.course.status(&s)
	switch c.phase {
	case waiting:
		s.State, s.Since = Waiting, 0
	case ended:
		s.State, s.Since = Ended, c.over
	}
	return s
}
