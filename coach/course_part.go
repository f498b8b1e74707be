package coach

import (
	"math"

	"steadfoot/coach/event"
	"steadfoot/profiles"
)

// part is the present part; after the last one it is free and has no end.
func (c *course) part() profiles.PlanPart { return c.partAt(c.at) }

func (c *course) partAt(i int) profiles.PlanPart {
	if i < len(c.parts) {
		return c.parts[i]
	}
	return profiles.PlanPart{Role: event.RoleFree}
}

// partEvent is part i as it is told; T and Distance are those of the present one.
func (c *course) partEvent(i int) event.Part {
	if c.shared() {
		return c.sharedPart()
	}
	p := c.partAt(i)
	e := event.Part{
		N: i + 1, Role: p.Role, Label: p.Label, Set: p.Set, Rep: p.Rep, Of: p.Of,
		Length: p.Length, Duration: p.Duration,
	}
	if i >= len(c.parts) {
		e.N = 0
	}
	if i == c.at {
		e.T, e.Distance = c.began, c.from
	}
	return e
}

// begin begins the present part, at a time and a place.
func (c *course) begin(t, place float64, out *orders) {
	c.since, c.began, c.from = t, t+c.behind, place
	c.ready, c.ends, c.beatIn = false, math.Inf(1), false
	c.said = said{reminders: make([]int, len(c.part().Reminders))}
	out.events = append(out.events, c.partEvent(c.at))
	c.retarget(t, c.title(), out)
}

// advance begins every part whose time has come by t.
func (c *course) advance(t float64, out *orders) {
	for {
		end, over := c.over(t)
		if !over {
			return
		}
		c.next(end, out)
	}
}

// nearEnd is how near to its planned end a part that was counted down to has its
// planned length, m.
const nearEnd = 5.0

// over tells whether the present part has ended by t, and when and where.
func (c *course) over(t float64) (spot, bool) {
	p := c.part()
	switch {
	case p.Ready || c.ends < math.Inf(1):
		end := spot{c.ends, c.placeAt(c.ends, t)}
		if plan := c.from + p.Length; p.Length > 0 && math.Abs(end.d-plan) < nearEnd {
			end.d = plan
		}
		return end, t >= c.ends
	case p.Length > 0:
		end, d := c.from+p.Length, c.odo.position()
		if !c.odo.known() || d < end {
			return spot{}, false
		}
		if c.passed.d != end {
			c.passed = spot{c.timeAt(end, spot{t, d}), end}
		}
		return c.passed, d >= end+c.grace()
	case p.Duration > 0:
		end := c.since + p.Duration
		return spot{end, c.placeAt(end, t)}, t >= end
	}
	return spot{}, false
}

// timeAt is when the walker came to a place since the last tick, or since the
// part began; here is where the walker is now.
func (c *course) timeAt(d float64, here spot) float64 {
	before := c.before
	if before.t < c.since {
		before = spot{c.since, c.from}
	}
	if !(here.d > before.d) || d <= before.d {
		return before.t
	}
	return before.t + (here.t-before.t)*min(1, (d-before.d)/(here.d-before.d))
}

// placeAt is where the walker was at a time since the last tick.
func (c *course) placeAt(end, t float64) float64 {
	before, d := c.before, c.odo.position()
	if before.t < c.since {
		before = spot{c.since, c.from}
	}
	if !(t > before.t) || end >= t || d < before.d {
		return max(d, c.from)
	}
	return before.d + (d-before.d)*max(0, end-before.t)/(t-before.t)
}

// next ends the present part and begins the one after it.
func (c *course) next(end spot, out *orders) {
	was := c.part()
	if name := c.joint(); name != "" && !c.said.join && !c.paused {
		c.wish(out, event.Cue{Name: name, Reason: c.jointReason()}, end.t, 3)
	}
	c.at++
	c.begin(end.t, end.d, out)
	if p := c.part(); p.Works() && !was.Works() {
		start := c.odo.earlier(end)
		c.line.start = &start
	}
}

// skip ends the present part at once. Where it waits for somebody to be ready
// and a rep follows, the countdown goes before.
func (c *course) skip(t float64, out *orders) {
	p := c.part()
	if c.at >= len(c.parts) || p.Length+p.Duration == 0 && !p.Ready {
		return
	}
	out.clear = "the part was ended by the key"
	if p.Ready && !c.ready && c.partAt(c.at+1).Works() && !c.paused {
		c.ready, c.ends = true, t+c.set.Policy.Lead+countdown
		c.signal(t, out)
		return
	}
	c.said.join = false
	c.next(spot{t, c.odo.position()}, out)
}

// into is how far the walker is in the present part, in the unit of its end; in
// s where it has none.
func (c *course) into(t float64) float64 {
	if c.part().Length > 0 {
		return c.odo.position() - c.from
	}
	return t - c.since
}
