package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/profiles"
)

// said is which signals of the present part were wished for.
type said struct {
	countdown, join, half, last bool
	reminders                   []int // how often each one
}

const (
	// soon is how long before its moment a signal is wished for, s: more than
	// the time between two ticks, so that it can be on time.
	soon = 1.1
	// soonCountdown is likewise for the countdown, which cannot wait and wants
	// the voice free. Where the start is only guessed from the walker's speed it
	// is better not fixed so early, and soon holds.
	soonCountdown = 3.5

	lastMetres, lastSeconds = 50.0, 10.0
	// A part shorter than these has neither a half way nor a last part worth a
	// word.
	longMetres, longSeconds = 200.0, 40.0
)

// wish asks for a cue at session time t, in room for as many seconds at most.
func (c *course) wish(out *orders, cue event.Cue, t, room float64) {
	cue.T = t + c.behind
	r := rankSession
	if cue.Name == event.CueReminder {
		r = rankReminder
	}
	out.wishes = append(out.wishes, wish{cue: cue, rank: r, until: cue.T + c.set.Policy.Lead + room})
}

// signal asks for what is due soon after t.
func (c *course) signal(t float64, out *orders) {
	p := c.part()
	ahead := t + c.set.Policy.Lead + soon
	if c.joint() != "" && c.grace() == 0 {
		c.countdown(t, out)
		if end := c.end(t); !c.said.join && end <= ahead {
			c.said.join = true
			c.wish(out, event.Cue{Name: c.joint(), Reason: c.jointReason()}, end, 3)
		}
	}
	if p.Works() {
		c.along(t, ahead, p, out)
	}
	for i, r := range p.Reminders {
		c.remind(t, ahead, i, r, out)
	}
}

// end is when the present part is expected to end.
func (c *course) end(t float64) float64 {
	p := c.part()
	if p.Ready || c.ends < math.Inf(1) {
		return c.ends
	}
	return c.eta(t, p.Length, p.Duration)
}

// countdown counts down to a rep that follows something else. What was counted
// down to holds, even if the walker becomes slower.
func (c *course) countdown(t float64, out *orders) {
	if c.said.countdown || c.part().Works() || !c.partAt(c.at+1).Works() {
		return
	}
	early := soonCountdown
	if c.part().Length > 0 {
		early = soon
	}
	end, next := c.end(t), t+c.set.Policy.Lead
	if from := end - countdown; from <= next+early && from >= next-hair {
		c.said.countdown, c.ends = true, end
		c.wish(out, event.Cue{Name: event.CueCountdown, Reason: c.jointReason(), Value: countdown}, from, 0.1-c.set.Policy.Lead)
	}
}

// along signals half way and the last part of a rep.
func (c *course) along(t, ahead float64, p profiles.PlanPart, out *orders) {
	if p.Length < longMetres && p.Duration < longSeconds {
		return
	}
	if !c.said.half && c.eta(t, p.Length/2, p.Duration/2) <= ahead {
		c.said.half = true
		c.wish(out, event.Cue{Name: event.CueHalfWay, Reason: fmt.Sprintf("half of %s", c.extent(p))}, c.eta(t, p.Length/2, p.Duration/2), 4)
	}
	metres, seconds := p.Length-lastMetres, p.Duration-lastSeconds
	if !c.said.last && c.eta(t, metres, seconds) <= ahead {
		c.said.last = true
		c.wish(out, event.Cue{Name: event.CueLastPart, Reason: fmt.Sprintf("the last of %s", c.extent(p))}, c.eta(t, metres, seconds), 3)
	}
}

// remind signals reminder i of the present part, once at a call.
func (c *course) remind(t, ahead float64, i int, r profiles.Reminder, out *orders) {
	n := c.said.reminders[i]
	if n > 0 && !r.Every {
		return
	}
	p := c.part()
	k := float64(n + 1)
	metres, seconds := k*r.Length, k*r.Duration
	if r.Length < 0 {
		metres += p.Length
	}
	if r.Duration < 0 {
		seconds += p.Duration
	}
	if p.Length > 0 && metres >= p.Length || p.Duration > 0 && seconds >= p.Duration {
		return
	}
	at := c.place(t, metres, seconds)
	if at > ahead {
		return
	}
	c.said.reminders[i]++
	c.wish(out, event.Cue{Name: event.CueReminder, Reason: fmt.Sprintf("%s of %s", c.spotWords(metres, seconds), c.title()), Line: r.Line}, at, 10)
}

// eta is when a place in the present part is reached, given in the unit of its
// end; never where it has none.
func (c *course) eta(t, metres, seconds float64) float64 {
	p := c.part()
	if p.Length == 0 && p.Duration == 0 {
		return math.Inf(1)
	}
	if p.Length > 0 {
		seconds = 0
	} else {
		metres = 0
	}
	return c.place(t, metres, seconds)
}

// place is when the walker is so many metres, or seconds, into the present part:
// at the present speed. It is t when that is past, and never when nobody walks.
func (c *course) place(t, metres, seconds float64) float64 {
	if metres == 0 {
		return max(c.since+seconds, t)
	}
	left := c.from + metres - c.odo.position()
	switch {
	case !c.odo.known():
		return math.Inf(1)
	case left <= 0:
		return t
	case c.odo.speed() == 0:
		return math.Inf(1)
	}
	return t + left/c.odo.speed()
}

// joint is the cue between the present part and the next one, "" for none.
func (c *course) joint() string {
	p, next := c.part(), c.partAt(c.at+1)
	switch {
	case c.at >= len(c.parts) || p.Length+p.Duration == 0 && !p.Ready:
		return ""
	case next.Works():
		return event.CueRepStart
	case p.Works() || c.at+1 == len(c.parts):
		return event.CueRepEnd
	case p.Role == profiles.PlanRecovery:
		return event.CueRecovered
	}
	return ""
}

func (c *course) jointReason() string {
	switch c.joint() {
	case event.CueRepStart:
		return c.titleOf(c.at + 1)
	case event.CueRepEnd:
		if c.at+1 == len(c.parts) {
			return c.title() + ", the last part"
		}
	}
	return c.title()
}

// title names the present part.
func (c *course) title() string { return c.titleOf(c.at) }

func (c *course) titleOf(i int) string {
	p := c.partAt(i)
	return event.Part{Role: p.Role, Label: p.Label, Rep: p.Rep, Of: p.Of}.Title()
}

// extent says how long a part is.
func (c *course) extent(p profiles.PlanPart) string { return c.spotWords(p.Length, p.Duration) }

func (c *course) spotWords(metres, seconds float64) string {
	if metres > 0 {
		return fmt.Sprintf("%.0f m", metres)
	}
	return FormatPace(seconds)
}
