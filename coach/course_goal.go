package coach

import (
	"fmt"
	"math"
	"slices"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// rampGrain is the least change of the goal along a ramp, steps/min: about 0.1 %,
// far below what is noticed.
const rampGrain = 0.25

// goal is what holds now.
func (c *course) goal() goal {
	if c.shared() {
		return c.sharedGoal()
	}
	p := c.part()
	g := goal{mode: c.set.Beat.Mode, beat: c.beatOn && c.beatHere(p) && !c.paused}
	if p.Beat != "" && p.Beat != profiles.BeatOff {
		g.mode = BeatMode(p.Beat)
	}
	cadence, pace := c.aim(p)
	if cadence == 0 {
		g.beat, g.pace = false, pace
		return g
	}
	g.cadence = min(max(cadence+c.shifted(p), detect.Slowest), detect.Fastest)
	g.pace = pace
	if g.cadence != cadence || pace == 0 {
		g.pace = PaceOf(g.cadence, c.odo.length(g.cadence))
	}
	slow, quick := c.set.Slow, c.set.Quick
	if p.Band != nil {
		slow, quick = p.Band.StepsPerMin(g.cadence)
	}
	g.low, g.high = g.cadence-slow, g.cadence+quick
	return g
}

// beatHere tells whether the plan, or the walker's key, has a beat in a part.
func (c *course) beatHere(p profiles.PlanPart) bool {
	switch {
	case c.beatIn:
		return true
	case p.Beat == "":
		return p.Role != profiles.PlanRecovery || c.set.Beat.Recoveries
	}
	return p.Beat != profiles.BeatOff
}

// aim is the target of a part at the present place: its cadence, 0 when it is
// free or not known, and its pace, 0 when it was not given as one.
func (c *course) aim(p profiles.PlanPart) (cadence, pace float64) {
	x := c.into(c.t)
	from, to, share := aimAt(p.Targets, x)
	if share == 0 {
		return c.cadence(from), from.Pace
	}
	a, b := c.cadence(from), c.cadence(to)
	if a == 0 || b == 0 {
		return 0, 0
	}
	return math.Round((a+(b-a)*share)/rampGrain) * rampGrain, 0
}

// aimAt is the target of a place in a part, in the unit of its end: from, or,
// along a ramp, a share of the way to another.
func aimAt(targets []profiles.PlanPoint, x float64) (from, to profiles.PlanTarget, share float64) {
	if len(targets) == 0 {
		return from, to, 0
	}
	i := 0
	for i+1 < len(targets) && targets[i+1].At <= x {
		i++
	}
	if !targets[i].Glide || i+1 == len(targets) {
		return targets[i].Target, to, 0
	}
	a, b := targets[i], targets[i+1]
	return a.Target, b.Target, max((x-a.At)/(b.At-a.At), 0)
}

// cadence is what a target comes to with the step length of now, steps/min; 0
// when it is free, or a pace and no step length is known.
func (c *course) cadence(t profiles.PlanTarget) float64 {
	if t.Pace == 0 {
		return t.Cadence
	}
	if !c.odo.known() {
		return 0
	}
	return min(max(c.odo.cadenceFor(t.Pace), detect.Slowest), detect.Fastest)
}

// shift is what the walker changed a target by, in all parts that have it.
type shift struct {
	targets []profiles.PlanPoint
	by      float64 // steps/min
}

// shifted is what the walker changed the target of a part by, steps/min.
func (c *course) shifted(p profiles.PlanPart) float64 {
	for _, s := range c.shifts {
		if slices.Equal(s.targets, p.Targets) {
			return s.by
		}
	}
	return 0
}

// shift moves the target by so many steps/min: in this part, and in all later
// ones that have the same target. A part without a target stays free.
func (c *course) shift(t, by float64, out *orders) {
	p := c.part()
	g := c.goal()
	if g.cadence == 0 || math.IsNaN(by) {
		return
	}
	// No further than what can be followed, so that every press is felt.
	by = min(max(g.cadence+by, detect.Slowest), detect.Fastest) - g.cadence
	i := slices.IndexFunc(c.shifts, func(s shift) bool { return slices.Equal(s.targets, p.Targets) })
	if i < 0 {
		i, c.shifts = len(c.shifts), append(c.shifts, shift{targets: p.Targets})
	}
	c.shifts[i].by += by
	c.retarget(t, fmt.Sprintf("moved by %+.4g steps/min by the key", by), out)
}

// glides tells whether the present part has a ramp.
func (c *course) glides() bool {
	return slices.ContainsFunc(c.part().Targets, func(p profiles.PlanPoint) bool { return p.Glide })
}

// retarget tells the target when it is another one than was told. Along a ramp
// it is told anew at every whole step/min. Without a reason the part's place is
// one.
func (c *course) retarget(t float64, reason string, out *orders) {
	g := c.goal()
	e := event.Target{T: t + c.behind, Cadence: g.cadence, Low: g.low, High: g.high, Pace: g.pace}
	was := c.told
	was.T, was.Reason = e.T, ""
	if e == was && c.told.Reason != "" || c.glides() && reason == "" && math.Abs(e.Cadence-was.Cadence) < 1 {
		return
	}
	if reason == "" {
		metres := 0.0
		if c.part().Length > 0 {
			metres = c.into(t)
		}
		reason = fmt.Sprintf("%s, %s on", c.title(), c.spotWords(metres, t-c.since))
	}
	e.Reason = reason + c.aimWords(g)
	c.told = e
	out.events = append(out.events, e)
}

// aimWords adds to a reason what the plan says, and what stands against it.
func (c *course) aimWords(g goal) string {
	p := c.part()
	text := ""
	switch {
	case len(p.Targets) == 0:
		text = ": free"
	case len(p.Targets) == 1 && p.Targets[0].Target.Said != "":
		text = ": " + p.Targets[0].Target.Said
	}
	if g.cadence == 0 && len(p.Targets) > 0 && !p.Targets[0].Target.Free() {
		text += "; no cadence, since no step length is known yet"
	}
	switch {
	case p.Length == 0 || c.odo.known():
	case c.lap > 0:
		text += "; ends by lap marks or the skip key, since no step length is known yet"
	default:
		text += "; ends by the skip key, since no step length is known"
	}
	return text
}
