package device

import (
	"errors"
	"math"
)

const (
	driftSure  = 10.0 // standard errors from which a drift is there: young ones are too small
	driftLeast = 20.0 // ppm that matter: some 35 ms of buffer last half an hour
	driftLong  = 180  // s that it must have been so: a sound server's times wander by as much

	falterMost = 5    // falters within falterSpan that are too many
	falterSpan = 30.0 // s
	falterLong = 0.5  // s: what comes within that of a falter is part of it
	falterFree = 1.5  // s at the beginning of a stream that do not count
)

var (
	errClocks   = errors.New("microphone and earphones keep different times: a stream for each is tried")
	errTogether = errors.New("the sound kept faltering: a stream each for microphone and earphones is tried")
	errApart    = errors.New("the sound kept faltering with a stream each: it is one again")
)

// TwoClocks tells whether one stream hides two devices with clocks of their own,
// whose buffers will run full or dry.
func (s *Stats) TwoClocks() bool {
	return s.Streams == 1 && s.DriftFor >= driftLong && math.Abs(s.Drift) > driftSure*s.DriftSD
}

// driftWatch knows since when the drift has been to one side.
type driftWatch struct {
	since float64 // session time, s
	side  float64 // -1 or 1; 0 is neither
}

// note takes the drift at a session time, and returns for how long it has been on
// this side by now, s.
func (w *driftWatch) note(at, drift float64) float64 {
	side := 0.0
	if math.Abs(drift) > driftLeast {
		side = math.Copysign(1, drift)
	}
	if side == 0 || side != w.side {
		w.side, w.since = side, at
	}
	return at - w.since
}

// parting sees when one stream for both sides does not go well, as where a sound
// server joins two devices under one name, and then asks for two; and when that goes
// no better, for one again, for good. It asks only when the sound has just faltered
// anyway.
type parting struct {
	begun   float64   // session time of the stream's first block, s
	falters []float64 // the last ones, session time, s
	turns   int
}

// restarted tells that a new stream begins at that time.
func (p *parting) restarted(at float64) { p.begun = at }

// faltered takes that sound was lost or late at that time, and returns why the
// number of streams is to change, nil where it is not.
func (p *parting) faltered(at float64, s *Stats) error {
	if s.Streams != p.turns+1 || at-p.begun < falterFree {
		return nil
	}
	if n := len(p.falters); n > 0 && at-p.falters[n-1] < falterLong {
		return nil
	}
	keep := 0
	for keep < len(p.falters) && at-p.falters[keep] > falterSpan {
		keep++
	}
	p.falters = append(p.falters[keep:], at)
	var why error
	switch {
	case s.TwoClocks():
		why = errClocks
	case len(p.falters) < falterMost:
		return nil
	case s.Streams == 1:
		why = errTogether
	default:
		why = errApart
	}
	p.falters = nil
	p.turns++
	return why
}
