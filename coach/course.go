package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// course walks through the plan of a session: it knows which part the walker is
// in and how far, what target holds, and what is to be signalled.
//
// Inside, times are the session's: seconds since its start without the pauses.
type course struct {
	set   Settings
	parts []profiles.PlanPart
	lap   float64 // what a lap mark stands for, m; 0: nothing
	odo   odometer
	line  line

	t       float64 // the latest, without the pauses
	begun   bool
	paused  bool
	stopped float64 // when the pause began, on the coach's clock, s
	resumed float64 // when the last one ended, or the session began, likewise
	behind  float64 // the coach's clock less the session's, s

	at     int     // index of the present part; len(parts) after the last one
	since  float64 // when it began, session time
	began  float64 // the same on the coach's clock, s
	from   float64 // where it began, m
	ready  bool    // somebody said so, where the part waits for it
	ends   float64 // when it then ends, session time
	said   said    // its signals
	passed spot    // its planned end, once it was passed
	before spot    // at the last tick

	told   event.Target
	shifts []shift
	beatOn bool // the walker wants a beat, where there is to be one
	beatIn bool // the walker wants one in this part, whatever the plan says

	led led // where the beat is a group's
}

// spot is a place at a time.
type spot struct{ t, d float64 }

// newCourse returns the course of a session that has not begun. Without a plan
// it is one part without an end, at the settings' target.
func newCourse(s Settings) *course {
	c := &course{set: s, lap: s.Lap, odo: newOdometer(s.StepLength), beatOn: s.Beat.On}
	switch {
	case c.shared():
		c.parts = []profiles.PlanPart{{Role: event.RoleFree}}
	case s.Plan != nil:
		c.parts, c.lap = s.Plan.Parts, s.Plan.Lap
	default:
		t := profiles.PlanTarget{Cadence: s.Cadence, Said: fmt.Sprintf("%.4g steps/min", s.Cadence)}
		if s.Pace != 0 && len(s.StepLength) > 0 {
			t = profiles.PlanTarget{Pace: s.Pace, Said: FormatPace(s.Pace) + " /km"}
		}
		c.parts = []profiles.PlanPart{{Role: event.RoleFree, Targets: []profiles.PlanPoint{{Target: t}}}}
	}
	return c
}

// start begins the first part.
func (c *course) start(now float64, out *orders) {
	c.begun, c.behind, c.resumed = true, now, now
	c.line.start = &origin{}
	c.begin(0, 0, out)
}

// clock is the session's time now; it stands still in a pause.
func (c *course) clock(now float64) float64 {
	if c.paused {
		now = c.stopped
	}
	return now - c.behind
}

// mark takes in what a person set.
func (c *course) mark(now float64, m event.Mark, out *orders) {
	if !c.begun {
		return
	}
	t := c.clock(now)
	c.t = t
	switch m.Name {
	case event.MarkLap:
		if !c.paused {
			c.lapMark(c.made(m, t), t, out)
		}
	case event.MarkSkip:
		c.skip(t, out)
	case event.MarkPause:
		c.led.own = true
		c.pause(now, out)
	case event.MarkResume:
		c.led.own = false
		c.resume(now, out)
	case event.MarkTarget:
		if !c.shared() {
			c.shift(t, m.Value, out)
		}
	case event.MarkBeatOn:
		c.beatOn, c.beatIn = true, true
	case event.MarkBeatOff:
		c.beatOn, c.beatIn = false, false
	}
}

// longAgo is how long ago a mark may have been made when it is told, s: two claps
// are known 1.3 s after the first one.
const longAgo = 3.0

// made is when a mark that is told at session time t was made. It belongs to the
// part it is told in, and not to a pause.
func (c *course) made(m event.Mark, t float64) float64 {
	return max(min(m.T-c.behind, t), t-longAgo, min(c.since, t), c.resumed-c.behind)
}

// step takes in a footfall. One that fell before the start or in a pause is none
// of the session's.
func (c *course) step(_ float64, s detect.Step) {
	if c.begun && s.T >= c.resumed && !(c.paused && s.T >= c.stopped) {
		c.odo.step(s.T - c.behind)
	}
}

// tick takes in the rhythm and moves on.
func (c *course) tick(now float64, r detect.Rhythm, out *orders) {
	if !c.begun || c.paused {
		return
	}
	t := c.clock(now)
	c.t = t
	c.odo.tick(t, r)
	c.advance(t, out)
	c.retarget(t, "", out)
	c.signal(t, out)
	c.before = spot{t, c.odo.position()}
}

// pause stops the session's time by the walker's wish.
func (c *course) pause(now float64, out *orders) {
	if c.paused {
		return
	}
	c.halt(now, out)
	c.wish(out, event.Cue{Name: event.CuePaused, Reason: "pause mark"}, c.clock(now), 5)
}

// halt stops the session's time.
func (c *course) halt(now float64, out *orders) {
	c.paused, c.stopped = true, now
	c.said.countdown, c.said.join = false, false
	c.ready, c.ends = false, math.Inf(1)
	out.clear = "the session is paused"
}

// resume ends the walker's pause; one of the leader goes on.
func (c *course) resume(now float64, out *orders) {
	if !c.paused || c.led.Paused {
		return
	}
	t := c.clock(now)
	c.goOn(now)
	c.wish(out, event.Cue{Name: event.CueResumed, Reason: "resume mark"}, t, 5)
}

// goOn lets the session's time go on.
func (c *course) goOn(now float64) {
	t := c.clock(now)
	c.paused, c.resumed = false, now
	c.behind += now - c.stopped
	c.odo.skipTo(t)
}

// distance is what was walked since the start, m.
func (c *course) distance() float64 { return c.odo.position() }

// status fills in what a screen shows of the course.
func (c *course) status(s *Status) {
	s.Part, s.Next, s.Done, s.Left = event.Part{}, event.Part{}, 0, 0
	s.Distance, s.Paused = c.distance(), c.paused
	if c.shared() {
		c.sharedStatus(s)
		return
	}
	s.Part = c.partEvent(c.at)
	if c.at+1 < len(c.parts) {
		s.Next = c.partEvent(c.at + 1)
	}
	p := c.part()
	planned, x := p.Length+p.Duration, c.into(c.t)
	if planned == 0 || p.Length > 0 && !c.odo.known() {
		return
	}
	s.Done = min(max(x/planned, 0), 1)
	s.Left = max(planned-x, 0)
}
