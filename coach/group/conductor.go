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
		c.end()
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
	c.give(mark)
	switch cmd.Do {
	case DoPause:
		c.m.State = Paused
	case DoResume:
		c.m.State = Walking
	}
	return nil
}

// target sets a target by hand.
func (c *Conductor) target(cmd Command) error {
	set := c.set
	for _, v := range []struct {
		what         string
		value        float64
		least, most  float64
		into         *float64
		zeroIsNoWish bool
	}{
		{"slow side of the band", cmd.Slow, 0.1, 60, &set.slow, true},
		{"quick side of the band", cmd.Quick, 0.1, 60, &set.quick, true},
		{"step length", cmd.Length, 0.3, 2, &set.length, true},
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
	c.set = set
	if c.coach == nil {
		c.hand, c.plan = cadence, nil
		return c.start()
	}
	if c.m.Session == "" {
		c.hand = cadence
	}
	if at := c.coach.Status().Target; at > 0 {
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

// walker is somebody who is exactly on the beat.
type walker struct {
	next    float64 // when the next step falls, s on the coach's clock
	cadence float64 // steps/min
	begun   bool    // the plan has begun
	news    bool    // the coach has answered since the map was renewed
}

// strolling is the cadence where the group is free, steps/min: nobody asks for it.
const strolling = 120

func newWalker(at float64) walker { return walker{next: at, cadence: strolling, news: true} }

// to walks until t at a cadence, 0 for as one likes.
func (w *walker) to(t, cadence float64, step func(t float64)) {
	if w.cadence = cadence; cadence == 0 {
		w.cadence = strolling
	}
	for ; w.next < t; w.next += 60 / w.cadence {
		step(w.next)
	}
}
