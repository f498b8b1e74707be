package coach

import (
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// led is what a course has of the leader of a group, where the beat is shared.
type led struct {
	event.Shared
	own bool // the walker has paused
}

// shared tells whether the parts and targets are the leader's.
func (c *course) shared() bool { return c.set.Beat.Mode == Shared }

// samePart is how far the beginning of a part may be moved and still be the same
// one, s.
const samePart = 1.0

// share takes up what the leader wants now.
func (c *course) share(now float64, e event.Shared, out *orders) {
	e = usable(e)
	was := c.led.Shared
	c.led.Shared = e
	if e.Paused && !c.paused {
		c.halt(now, out) // the leader announces it
	}
	if !e.Paused && c.paused && !c.led.own {
		c.goOn(now)
	}
	t := c.clock(now)
	c.t = t
	c.parts[0] = partOf(e)
	before := was.Part
	before.Distance, before.T = e.Part.Distance, e.Part.T
	if before != e.Part || !(math.Abs(was.Part.T-e.Part.T) < samePart) {
		at := max(min(e.Part.T-c.behind, t), c.since)
		c.begin(at, c.placeAt(at, t), out)
		return
	}
	reason := "set by the leader of the group"
	if e.Target.Reason != "" {
		reason += ": " + e.Target.Reason
	}
	c.retarget(t, reason, out)
}

// usable leaves out what nobody could go by, NaN above all.
func usable(e event.Shared) event.Shared {
	for _, v := range []struct {
		of       *float64
		low, top float64
	}{
		{&e.Part.T, -lastTime, lastTime}, {&e.Ends, 0, lastTime}, {&e.Target.Cadence, detect.Slowest, detect.Fastest},
		{&e.Target.Low, 0, detect.Fastest}, {&e.Target.High, detect.Slowest, 2 * detect.Fastest}, {&e.Target.Pace, 60, 3600},
	} {
		if !within(*v.of, v.low, v.top) {
			*v.of = 0
		}
	}
	return e
}

// partOf is the leader's part as one of a plan. It has no end of its own: the
// leader says when the next one begins.
func partOf(e event.Shared) profiles.PlanPart {
	p := profiles.PlanPart{Role: e.Part.Role, Label: e.Part.Label, Set: e.Part.Set, Rep: e.Part.Rep, Of: e.Part.Of}
	if p.Role == "" {
		p.Role = event.RoleFree
	}
	if e.Target.Cadence > 0 {
		p.Targets = []profiles.PlanPoint{{Target: profiles.PlanTarget{Cadence: e.Target.Cadence}}}
	}
	return p
}

// sharedGoal is what the leader wants now. The beat is played by its pieces, in a
// pause too: they end when it is to fall silent for all.
func (c *course) sharedGoal() goal {
	t := c.led.Target
	g := goal{mode: Shared, beat: c.beatOn && !c.led.own, pace: t.Pace}
	if t.Cadence == 0 {
		return g
	}
	if g.cadence = t.Cadence; g.pace == 0 {
		g.pace = PaceOf(g.cadence, c.odo.length(g.cadence))
	}
	g.low, g.high = t.Low, t.High
	if !(g.low > 0 && g.low < g.cadence && g.high > g.cadence) {
		g.low, g.high = g.cadence-c.set.Slow, g.cadence+c.set.Quick
	}
	return g
}

// sharedPart is the leader's present part as it is told, or as it stands: it lasts
// as long as the leader says, however far the walker comes.
func (c *course) sharedPart() event.Part {
	e := c.led.Part
	e.Role = c.part().Role
	e.T, e.Distance = c.began, c.from
	e.Length, e.Duration = 0, max(c.led.Ends-c.began, 0)
	return e
}

// sharedStatus fills in what a screen shows of the leader's parts.
func (c *course) sharedStatus(s *Status) {
	s.Part, s.Next = c.sharedPart(), c.led.Next
	s.Done, s.Left = 0, 0
	if s.Part.Duration > 0 {
		s.Left = max(c.led.Ends-(c.t+c.behind), 0)
		s.Done = min(max(1-s.Left/s.Part.Duration, 0), 1)
	}
}
