// Package coach decides what a walker hears: the beat, and the cues that bring
// the cadence back into the target band.
//
// A [Coach] is a pure state machine. Build one with [New] from [Settings], hand
// every event of the session to [Coach.Handle] in the order in which it
// happened, and play what it answers. It has no clock: the rhythm events, one
// every half second, are its ticks. Equal settings and equal events give equal
// answers, to the bit; [Replay] checks a stored session that way.
//
// Inside, the course knows where the walker is in the session and what holds
// there; the pacer makes the beat of it, the advisers what is to be said, and
// the voice decides which of that is said, one thing at a time.
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
	set    Settings
	phase  phase
	now    float64 // latest time seen, s
	over   float64 // when the session ended, s
	paused bool
	course *course
	orders orders // of the course, from the event at hand
	goal   goal   // what held after the last event
	pacer  pacer
	voice  voice
	ear    ear
	watch  watch
	fall   fall
	even   even
	keep   keep
	tell   tell
	wanted pending
	faults faults
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
	c := &Coach{set: s, voice: newVoice(s), pacer: newPacer(s), course: newCourse(s)}
	c.goal = c.course.goal()
	c.listen()
	return c, nil
}

// Handle takes one event and appends the coach's answers, [event.Part],
// [event.Target], [event.Lap], [event.Beat] and [event.Cue], to dst. Events must
// come in the order in which they happened; one that is earlier than the one
// before counts as happening with it, but for a lap mark, which counts where the
// walker was at its time, up to three seconds before. Events without a usable time (negative,
// not a number, beyond 1e7 s), and answers of a coach, are ignored.
//
// A mark "start" begins the session and a mark "end" ends it, each once. In
// between the rhythm events drive the cues, and marks and steps move the session
// and the beat on. With [Shared] as the mode of the beat, the leader of a group
// does so by Shared and Call events; otherwise these are ignored. A cue's T is Policy.Lead after the event that caused it, or
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
	case event.Step:
		return c.step(dst, e.Step)
	case event.Fault:
		c.fault(e)
	case event.Shared:
		return c.share(dst, e)
	case event.Call:
		return c.call(dst, e)
	}
	return dst
}

// listen forgets what was heard so far.
func (c *Coach) listen() {
	p := c.set.Policy
	c.ear = ear{policy: p}
	c.watch = newWatch(p, c.goal, c.now)
	c.fall = fall{policy: p, watch: &c.watch}
	c.even = newEven(p, &c.watch)
	c.keep = keep{policy: p, watch: &c.watch}
	c.tell = newTell(p, &c.watch)
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
	case c.phase != running || m.Name == event.MarkStart || m.Name == event.MarkEnd:
		return dst
	}
	switch m.Name {
	case event.MarkPause:
		c.paused = true
	case event.MarkResume:
		c.paused = false
		c.watch.rest(c.now)
	}
	c.course.mark(c.now, m, &c.orders)
	if c.course.shared() {
		c.paused = c.course.paused // the leader may have paused as well
	}
	return c.speak(c.obey(dst), false)
}

// start plays the start signal and begins the course. The beat comes with the
// signal, or after it. In a group it is the leader who says when to start.
func (c *Coach) start(dst []event.Event) []event.Event {
	if c.course.shared() {
		c.course.start(c.now, &c.orders)
		return c.obey(dst)
	}
	at := c.now + c.set.Policy.Lead
	signal := event.Cue{T: at, Name: event.CueStart, Reason: "start mark"}
	if c.pacer.free = at; !c.set.Policy.AtOnce {
		c.pacer.free = at + c.voice.span(signal)
	}
	c.course.start(c.now, &c.orders)
	dst = c.obey(dst)
	c.voice.count(at)
	return c.speak(c.voice.say(dst, signal), false)
}

// end silences the beat and plays the end signal, after the cue that is still
// sounding when there is one.
func (c *Coach) end(dst []event.Event) []event.Event {
	at := c.now + c.set.Policy.Lead
	dst = c.pacer.stop(dst, c.now)
	c.voice.clear(c.now, rankSafety, "the session ended")
	return c.voice.say(dst, event.Cue{T: max(at, c.voice.free), Name: event.CueEnd, Reason: "end mark"})
}

func (c *Coach) step(dst []event.Event, s detect.Step) []event.Event {
	if c.phase != running {
		return dst
	}
	c.course.step(c.now, s)
	c.pacer.step(c.now, s)
	return c.pacer.play(dst, c.now)
}

// rhythm is the tick.
func (c *Coach) rhythm(dst []event.Event, r detect.Rhythm) []event.Event {
	if c.phase == running {
		c.course.tick(c.now, r, &c.orders)
	}
	c.ear.see(c.now, r)
	c.heard(r)
	c.watch.see(c.now, r)
	if c.phase != running {
		return dst
	}
	c.fall.see(c.now)
	c.even.see(c.now, r)
	c.pacer.tick(c.now, r, &c.watch)
	c.watch.beat = c.pacer.tune().cadence > 0
	return c.speak(c.obey(dst), true)
}

// obey does what the course ordered: it tells what has begun, takes up its
// wishes, and aims everything at what now holds.
func (c *Coach) obey(dst []event.Event) []event.Event {
	for _, e := range c.orders.events {
		dst = append(dst, e)
		if _, ok := e.(event.Part); ok {
			c.keep.part(c.now)
		}
	}
	if c.orders.clear != "" {
		c.voice.clear(c.now, rankSession, c.orders.clear)
	}
	for _, w := range c.orders.wishes {
		c.voice.want(w)
	}
	c.orders = orders{events: c.orders.events[:0], wishes: c.orders.wishes[:0]}
	if g := c.course.goal(); g != c.goal {
		if c.watch.aim(c.now, g) {
			c.fall.forget()
			c.keep.part(c.now)
		}
		c.goal = g
	}
	c.pacer.aim(c.now, c.goal)
	return c.pacer.play(dst, c.now)
}

// Beats returns the coach's beat map. It belongs to the coach, which adds to it
// in Handle.
func (c *Coach) Beats() *BeatMap { return &c.pacer.beats }

// Pace returns the pace in s/km of a cadence in steps/min, by the athlete's step
// length as the laps have corrected it; 0 when either is not known.
func (c *Coach) Pace(cadence float64) float64 {
	return PaceOf(cadence, c.course.odo.length(cadence))
}

// Distance returns what was walked since the start by the coach's estimate, m;
// 0 when the step length is not known. Ask after the steps before a rhythm were
// handled, and before the rhythm is.
func (c *Coach) Distance() float64 { return c.course.distance() }
