// Package coach decides what a walker hears: the beat, and the cues that bring
// the cadence back into the target band.
//
// A [Coach] is a pure state machine. Build one with [New] from [Settings], hand
// every event of the session to [Coach.Handle] in the order in which it
// happened, and play what it answers. It has no clock: the rhythm events, one
// every half second, are its ticks. Equal settings and equal events give equal
// answers, to the bit; [Replay] checks a stored session that way.
//
// Beside it stand what its callers need of the same trade: pace arithmetic
// ([PaceOf], [CadenceOf], [LengthOf]), the laps of a track ([LapLength]), the
// measures of evenness and variability ([SymmetryIndex], [CV] and others) and
// the [BeatMap].
package coach

import (
	"fmt"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// lastTime bounds the time of an event, s: 115 days. Beyond it, times of this
// size still differ by far less than a sample.
const lastTime = 1e7

// Coach answers the events of one session. Use one goroutine at a time.
type Coach struct {
	set   Settings
	phase phase
	now   float64 // latest time seen, s
	over  float64 // when the session ended, s
	beats BeatMap
	voice voice
	ear   ear
	watch watch
}

type phase uint8

const (
	waiting phase = iota
	running
	ended
)

// New returns a coach that waits for the start mark. It fails when the
// settings are not valid.
func New(s Settings) (*Coach, error) {
	if err := s.Validate(); err != nil {
		return nil, fmt.Errorf("coach: %w", err)
	}
	c := &Coach{set: s, voice: voice{span: s.Policy.Span}}
	c.beats.Only = s.Beat.Foot
	c.listen()
	return c, nil
}

// Handle takes one event and appends the coach's answers, [event.Beat] and
// [event.Cue], to dst. Events must come in the order in which they happened; one
// that is earlier than the one before counts as happening with it. Events
// without a usable time (negative, not a number, beyond 1e7 s), and answers of a
// coach, are ignored.
//
// A mark "start" begins the session and a mark "end" ends it, each once. In
// between the rhythm events drive the cues; steps, gaps, faults and other marks
// change nothing. A cue's T is Policy.Lead after the event that caused it, or
// later, never earlier.
func (c *Coach) Handle(dst []event.Event, in event.Event) []event.Event {
	if in == nil || !event.IsInput(in) {
		return dst
	}
	t := in.At()
	if !(t >= 0 && t <= lastTime) {
		return dst
	}
	c.now = max(c.now, t)
	switch e := in.(type) {
	case event.Mark:
		return c.mark(dst, e)
	case event.Rhythm:
		return c.rhythm(dst, e.Rhythm)
	}
	return dst
}

// listen forgets what was heard so far.
func (c *Coach) listen() {
	c.ear = ear{policy: c.set.Policy}
	c.watch = newWatch(c.set, c.now)
}

func (c *Coach) mark(dst []event.Event, m event.Mark) []event.Event {
	switch {
	case m.Name == event.MarkStart && c.phase == waiting:
		c.phase = running
		c.listen()
		return c.start(dst)
	case m.Name == event.MarkEnd && c.phase == running:
		c.phase, c.over = ended, c.now
		return c.end(dst)
	}
	return dst
}

// start plays the start signal and then the beat, steady at the target. Its
// phase is left as it falls: people bring their feet to a beat within a few
// steps (Front Hum Neurosci 2014;8:724), and at another cadence than the
// target's no phase would stay right.
func (c *Coach) start(dst []event.Event) []event.Event {
	at := c.now + c.set.Policy.Lead
	if c.set.Beat.On {
		first := c.set.FirstFoot
		if first == detect.Unknown {
			first = detect.Left
		}
		dst = c.beat(dst, event.Beat{Start: at + c.set.Policy.Span, Period: 60 / c.set.Cadence, Side: first})
	}
	return c.voice.say(dst, at, event.CueStart, "start mark")
}

// end silences the beat and plays the end signal, after the cue that is still
// sounding when there is one.
func (c *Coach) end(dst []event.Event) []event.Event {
	at := c.now + c.set.Policy.Lead
	if c.set.Beat.On {
		dst = c.beat(dst, event.Beat{Start: at})
	}
	return c.voice.say(dst, max(at, c.voice.free), event.CueEnd, "end mark")
}

// beat enters a piece into the map and says so.
func (c *Coach) beat(dst []event.Event, p event.Beat) []event.Event {
	p.T = c.now
	c.beats.Add(p)
	return append(dst, p)
}

// rhythm is the tick. Losing the walker comes before judging the cadence.
func (c *Coach) rhythm(dst []event.Event, r detect.Rhythm) []event.Event {
	c.ear.see(c.now, r)
	c.watch.see(c.now, r)
	at := c.now + c.set.Policy.Lead
	if c.phase != running || !c.voice.open(at) {
		return dst
	}
	name, reason := c.ear.decide(c.now)
	if name == "" {
		name, reason = c.watch.decide(c.now)
	}
	if name == "" {
		return dst
	}
	return c.voice.say(dst, at, name, reason)
}

// Beats returns the coach's beat map. It belongs to the coach, which adds to it
// in Handle.
func (c *Coach) Beats() *BeatMap { return &c.beats }

// Pace returns the pace in s/km of a cadence in steps/min, by the athlete's step
// length; 0 when either is not known.
func (c *Coach) Pace(cadence float64) float64 {
	return PaceOf(cadence, c.set.StepLength.Length(cadence))
}
