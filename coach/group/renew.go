package group

import (
	"math"

	"steadfoot/coach/event"
)

// passes tells whether something that was to come has come.
func (c *Conductor) passes() bool {
	return len(c.parts) > 1 && c.parts[1].T <= c.now || len(c.targets) > 1 && c.targets[1].T <= c.now ||
		len(c.m.Says) > 0 && c.m.Says[0].T+saysFor < c.now
}

// renew brings the map up to the present time.
func (c *Conductor) renew() {
	m := &c.m
	m.At, c.walk.news = c.now, false
	for len(m.Beat) > 1 && m.Beat[1].Start <= c.now {
		m.Beat = m.Beat[1:]
	}
	for len(m.Says) > 0 && m.Says[0].T+saysFor < c.now {
		m.Says = m.Says[1:]
	}
	for len(c.parts) > 1 && c.parts[1].T <= c.now {
		c.parts = c.parts[1:]
	}
	for len(c.targets) > 1 && c.targets[1].T <= c.now {
		c.targets = c.targets[1:]
	}
	m.Part, m.Next = event.Part{}, event.Part{}
	m.Target, m.Coming = event.Target{}, event.Target{}
	if len(c.parts) > 0 {
		m.Part = c.parts[0]
	}
	if len(c.targets) > 0 {
		m.Target = c.targets[0]
	}
	if len(c.targets) > 1 {
		m.Coming = c.targets[len(c.targets)-1]
	}
	c.ends()
}

// ends works out what comes after the present part, and when. The coach may be
// in that one already.
func (c *Conductor) ends() {
	m := &c.m
	if len(c.parts) > 1 {
		m.Next, m.Ends = c.parts[1], c.parts[1].T
		return
	}
	if c.coach == nil {
		m.Ends = 0
		return
	}
	s := c.coach.Status()
	m.Next = s.Next
	end := 0.0
	switch {
	case s.Paused || s.Left == 0:
	case s.Part.Length == 0:
		end = c.now + Ahead + s.Left
	default:
		if speed := s.Target / 60 * c.set.length; speed > 0 {
			end = c.now + Ahead + s.Left/speed
		}
	}
	if math.Abs(end-m.Ends) > 0.25 {
		m.Ends = end
		m.Seq++
	}
}
