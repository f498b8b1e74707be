package group

import (
	"fmt"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

const (
	// Ahead is how long before they take effect changes are known, s. A message
	// that had to be sent again comes within a second, and members make their
	// sound up to 0.4 s ahead.
	Ahead = 1.5
	// ticks is how often in a second the plan moves on.
	ticks = 10
	// saysFor is how long an announcement stays in the map, s.
	saysFor = 30.0
	// ceaseless bounds the group time, s.
	ceaseless = 1e7
)

// Conductor makes the beat of one group from what the coach commands. It is a
// pure state machine in group time: equal commands at equal times give equal
// maps, to the bit, which is how a spare follows it.
//
// Inside, a coach.Coach walks the session with a walker who is exactly on the
// beat. It is Ahead of the group's time, so that what it answers is known to all
// before it happens, and happens when the plan says.
type Conductor struct {
	m     Map
	now   float64 // s
	done  int64   // ticks since the group time began
	coach *coach.Coach
	plan  *profiles.Plan // taken up, to be walked by the next start
	hand  float64        // target set by hand, steps/min; 0: none
	set   wanted
	walk  walker

	targets []event.Target // the one that holds and those to come, by T
	parts   []event.Part   // likewise
}

// wanted is what a coach can set for the whole group.
type wanted struct{ slow, quick, length float64 }

// NewConductor returns the conductor of a group that waits.
func NewConductor(name string) *Conductor {
	c := &Conductor{set: wanted{slow: 4, quick: 4}}
	c.m = Map{Group: name, Seq: 1, State: Waiting, Choice: coach.BeatChoice{On: true, Mode: coach.Steady}}
	return c
}

// Map returns the present map. Its slices are the caller's.
func (c *Conductor) Map() Map {
	m := c.m
	m.Beat = append([]event.Beat(nil), m.Beat...)
	m.Says = append([]event.Cue(nil), m.Says...)
	return m
}

// Handle takes a command at its time T; one that runs back counts as happening
// now. The error says in one line why it cannot be done; nothing has changed then.
func (c *Conductor) Handle(cmd Command) error {
	if !(cmd.T >= 0 && cmd.T <= ceaseless) {
		return fmt.Errorf("a command at %v s", cmd.T)
	}
	c.Tick(cmd.T)
	if err := c.do(cmd); err != nil {
		return err
	}
	c.m.Seq++
	c.renew()
	return nil
}

// forget drops what is known of an earlier session; its beat has ended.
func (c *Conductor) forget() {
	c.parts, c.targets, c.m.Beat, c.m.Ends = nil, nil, nil, 0
	c.m.Part, c.m.Next, c.m.Target, c.m.Coming = event.Part{}, event.Part{}, event.Target{}, event.Target{}
}

// give hands the coach one input, Ahead of the group's time, and takes its
// answers up.
func (c *Conductor) give(in event.Event) {
	at := c.now + Ahead
	switch e := in.(type) {
	case event.Mark:
		e.T = at
		in = e
	case event.Rhythm:
		e.T = at
		in = e
	}
	for _, e := range c.coach.Handle(nil, in) {
		c.answer(e)
	}
}

func (c *Conductor) answer(e event.Event) {
	switch e := e.(type) {
	case event.Beat:
		c.m.Beat = append(c.m.Beat, e)
	case event.Part:
		c.parts = append(c.parts, e)
	case event.Target:
		if c.m.Session == "" && e.Cadence > 0 {
			e.Low, e.High = e.Cadence-c.set.slow, e.Cadence+c.set.quick
		}
		c.targets = append(c.targets, e)
	case event.Cue:
		if announced[e.Name] {
			c.m.Says = append(c.m.Says, e)
		}
	default:
		return
	}
	c.walk.news = true
}

// announced are the cues that belong to the session and not to a walker.
var announced = map[string]bool{
	event.CueStart: true, event.CueEnd: true, event.CueCountdown: true, event.CueRepStart: true,
	event.CueHalfWay: true, event.CueLastPart: true, event.CueRepEnd: true, event.CueRecovered: true,
	event.CueReminder: true, event.CuePaused: true, event.CueResumed: true,
}

// Tick lets the time go on to now, s, and tells whether the map has changed.
func (c *Conductor) Tick(now float64) bool {
	if !(now > c.now && now <= ceaseless) {
		return false
	}
	before := c.m.Seq
	if c.coach == nil {
		c.now = now
	}
	for c.coach != nil {
		next := float64(c.done+1) / ticks
		if next > now {
			break
		}
		c.now = max(c.now, next)
		c.done++
		c.step()
	}
	c.now = now
	if c.walk.news || c.passes() {
		c.m.Seq++
	}
	c.renew()
	return c.m.Seq != before
}

// step walks a tick's worth of the session.
func (c *Conductor) step() {
	s := c.coach.Status()
	if !s.Paused {
		c.walk.to(c.now+Ahead, s.Target, func(t float64) {
			c.give(event.Step{Step: detect.Step{T: t, Confidence: 1, Heard: true}})
		})
	} else {
		c.walk.next = c.now + Ahead
	}
	cadence := c.walk.cadence
	c.give(event.Rhythm{Rhythm: detect.Rhythm{State: detect.Walking, Cadence: cadence, CadenceSD: 0.1, Heard: 1}})
	if c.plan != nil && c.walk.begun && c.coach.Status().Part.N == 0 {
		c.end()
	}
	c.walk.begun = c.walk.begun || c.coach.Status().Part.N > 0
}
