package group

import (
	"errors"
	"fmt"
	"math"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// do does what a command asks for, or says why not.
func (c *Conductor) do(cmd Command) error {
	switch cmd.Do {
	case DoTarget:
		return c.target(cmd)
	case DoSession:
		return c.session(cmd)
	case DoStart:
		return c.start()
	case DoBeat:
		return c.choose(cmd)
	case DoStop:
		if c.m.State == Waiting && c.plan == nil {
			return errors.New("nothing was started")
		}
		old := len(c.m.Says)
		c.end()
		c.unsay(old)
		return nil
	}
	mark := event.Mark{Value: cmd.By, Note: cmd.Note}
	switch cmd.Do {
	case DoShift:
		if mark.Name = event.MarkTarget; !(cmd.By >= -60 && cmd.By <= 60) {
			return fmt.Errorf("a target moved by %v steps/min; allowed: -60 to 60", cmd.By)
		}
	case DoSkip:
		mark.Name = event.MarkSkip
	case DoPause:
		mark.Name = event.MarkPause
	case DoResume:
		mark.Name = event.MarkResume
	case DoBeatOn:
		mark.Name = event.MarkBeatOn
	case DoBeatOff:
		mark.Name = event.MarkBeatOff
	default:
		return fmt.Errorf("%q is not known; known: %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s", cmd.Do,
			DoTarget, DoShift, DoSession, DoStart, DoSkip, DoPause, DoResume, DoStop, DoBeatOn, DoBeatOff, DoBeat)
	}
	if c.coach == nil {
		return fmt.Errorf("%s: nothing is being walked; start something first", cmd.Do)
	}
	old := len(c.m.Says)
	c.give(mark)
	if c.walk.news && (cmd.Do == DoPause || cmd.Do == DoSkip) {
		c.unsay(old)
	}
	switch cmd.Do {
	case DoPause:
		c.m.State = Paused
	case DoResume:
		c.m.State = Walking
	}
	return nil
}

// unsay takes back those of the first n announcements that are still to come when
// what was commanded takes effect: what they are about will not be. A changed target
// takes nothing back, as what was counted down to holds.
func (c *Conductor) unsay(n int) {
	kept := c.m.Says[:0]
	for i, s := range c.m.Says {
		if i >= n || s.T <= c.now+Ahead {
			kept = append(kept, s)
		}
	}
	c.m.Says = kept
}

// target sets a target by hand.
func (c *Conductor) target(cmd Command) error {
	set := c.set
	for _, v := range []struct {
		what        string
		value       float64
		least, most float64
		into        *float64
	}{
		{"slow side of the band", cmd.Slow, 0.1, 60, &set.slow},
		{"quick side of the band", cmd.Quick, 0.1, 60, &set.quick},
		{"step length", cmd.Length, 0.3, 2, &set.length},
	} {
		if v.value == 0 {
			continue
		}
		if !(v.value >= v.least && v.value <= v.most) {
			return fmt.Errorf("%s %v; allowed: %v to %v", v.what, v.value, v.least, v.most)
		}
		*v.into = v.value
	}
	cadence := cmd.Cadence
	if cmd.Pace != 0 {
		if set.length == 0 {
			return errors.New("a target pace needs a step length; give one, like 1.05 m")
		}
		cadence = coach.CadenceOf(cmd.Pace, set.length)
	}
	if !(cadence >= detect.Slowest && cadence <= detect.Fastest) {
		return fmt.Errorf("target %.4g steps/min; allowed: %v to %v", cadence, detect.Slowest, detect.Fastest)
	}
	if c.coach == nil {
		c.set, c.hand, c.plan = set, cadence, nil
		return c.start()
	}
	if at := c.coach.Status().Target; at > 0 {
		c.set = set
		if c.m.Session == "" {
			c.hand = cadence
		}
		c.give(event.Mark{Name: event.MarkTarget, Value: cadence - at})
		return nil
	}
	return errors.New("the group is free in this part; a target can be set in the next one")
}

// session takes up a session.
func (c *Conductor) session(cmd Command) error {
	if c.coach != nil {
		return errors.New("a session is being walked; stop it first")
	}
	plan, err := profiles.ParsePlan("the session", []byte(cmd.Session))
	if err != nil {
		return err
	}
	if cmd.Length != 0 {
		if !(cmd.Length >= 0.3 && cmd.Length <= 2) {
			return fmt.Errorf("step length %v m; allowed: 0.3 to 2", cmd.Length)
		}
		c.set.length = cmd.Length
	}
	if c.set.length == 0 && needsLength(plan) {
		return fmt.Errorf("%q has targets as a pace; give the step length the group is reckoned with, like 1.05 m", plan.Name)
	}
	c.plan, c.hand = plan, 0
	c.m.Session, c.m.State = plan.Name, Waiting
	c.forget()
	return nil
}

func needsLength(p *profiles.Plan) bool {
	for _, part := range p.Parts {
		for _, t := range part.Targets {
			if t.Target.Pace > 0 {
				return true
			}
		}
	}
	return false
}

// choose sets which beats are given.
func (c *Conductor) choose(cmd Command) error {
	b := c.m.Choice
	b.Every, b.Accent = cmd.Every, cmd.Accent
	if err := b.Validate(); err != nil {
		return err
	}
	c.m.Choice = b
	return nil
}

// start begins what was taken up.
func (c *Conductor) start() error {
	if c.coach != nil {
		return errors.New("it is being walked already")
	}
	if c.plan == nil && c.hand == 0 {
		return errors.New("there is nothing to start; set a target or take up a session first")
	}
	set := coach.Settings{
		Cadence: 180, Slow: c.set.slow, Quick: c.set.quick, Plan: c.plan,
		Beat: coach.BeatChoice{On: true, Mode: coach.Steady}, Policy: coach.DefaultPolicy(),
	}
	if c.hand != 0 {
		set.Cadence = c.hand
	}
	if c.set.length != 0 {
		set.StepLength = profiles.Constant(c.set.length)
	}
	// Nobody is coached here.
	set.Policy.Lead, set.Policy.Hold, set.Policy.Falling, set.Policy.Uneven, set.Policy.Tell = least, 0, 0, 0, 0
	if set.Plan != nil {
		set.Plan = steady(set.Plan)
	}
	made, err := coach.New(set)
	if err != nil {
		return err
	}
	c.coach = made
	c.forget()
	c.walk, c.done = newWalker(c.now+Ahead), int64(math.Floor(c.now*ticks))
	c.m.State, c.m.Session = Walking, ""
	if c.plan != nil {
		c.m.Session = c.plan.Name
	}
	c.give(event.Mark{Name: event.MarkStart})
	return nil
}

// least is the shortest lead a coach may have, s.
const least = 0.15

// steady returns the plan with beats that wait for nobody: there is one beat for
// all, so it cannot go by anybody's feet.
func steady(p *profiles.Plan) *profiles.Plan {
	q := *p
	q.Parts = append([]profiles.PlanPart(nil), p.Parts...)
	for i := range q.Parts {
		if b := &q.Parts[i].Beat; *b != "" && *b != profiles.BeatOff {
			*b = string(coach.Steady)
		}
	}
	return &q
}

// end ends what is being walked.
func (c *Conductor) end() {
	if c.coach != nil {
		c.give(event.Mark{Name: event.MarkEnd})
	}
	c.over()
}

// over lets go of the coach; the silence that it ordered stays in the map.
func (c *Conductor) over() {
	if c.coach == nil {
		c.plan, c.hand, c.m.Session = nil, 0, ""
	}
	c.coach, c.m.State = nil, Ended
	c.parts = append(c.parts, event.Part{T: c.now + Ahead})
	c.targets = append(c.targets, event.Target{T: c.now + Ahead, Reason: "the session has ended"})
}
