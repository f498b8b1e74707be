package profiles

import (
	"fmt"
	"math"
	"slices"
)

// Check tells what is wrong with a plan, however it was made: the number of its
// parts, a part without one clear end, figures out of range.
func (p *Plan) Check() error {
	if n := len(p.Parts); n < 1 || n > maxParts {
		return fmt.Errorf("a plan of %d parts; allowed: 1 to %d", n, maxParts)
	}
	if p.Lap != 0 && !within(p.Lap, 50, 50_000) {
		return fmt.Errorf("a lap of %v m; allowed: 50 to 50000 m", p.Lap)
	}
	var length, duration float64
	for i := range p.Parts {
		if err := p.Parts[i].check(); err != nil {
			return fmt.Errorf("part %d: %w", i+1, err)
		}
		length += p.Parts[i].Length
		duration += p.Parts[i].Duration
	}
	if length > 2*maxPart || duration > 2*maxPartTime {
		return fmt.Errorf("all parts together are %.0f km and %.0f h; allowed: %.0f km and %.0f h", length/1000, duration/3600, 2*maxPart/1000, 2*maxPartTime/3600)
	}
	return nil
}

func (p *PlanPart) check() error {
	ends := 0
	for _, set := range []bool{p.Length != 0, p.Duration != 0, p.Ready} {
		if set {
			ends++
		}
	}
	switch {
	case !slices.Contains([]string{PlanWarmUp, PlanRep, PlanDrill, PlanRecovery, PlanCoolDown}, p.Role):
		return fmt.Errorf("its role is %q; allowed: %s, %s, %s, %s and %s", clean(p.Role), PlanWarmUp, PlanRep, PlanDrill, PlanRecovery, PlanCoolDown)
	case ends != 1:
		return fmt.Errorf("it ends in %d ways; allowed: one of a distance, a time and 'ready'", ends)
	case p.Length != 0 && !within(p.Length, minPart, maxPart):
		return fmt.Errorf("%v m; allowed: 10 m to 100 km", p.Length)
	case p.Duration != 0 && !within(p.Duration, minPartTime, maxPartTime):
		return fmt.Errorf("%v s; allowed: 5 s to 12 h", p.Duration)
	case p.Band != nil && !(within(p.Band.Slow, 0.1, 60) && within(p.Band.Quick, 0.1, 60)):
		return fmt.Errorf("a band of %v and %v; allowed: 0.1 to 60", p.Band.Slow, p.Band.Quick)
	}
	at := math.Inf(-1)
	for i, t := range p.Targets {
		switch {
		case i == 0 && t.At != 0:
			return fmt.Errorf("its first target is at %v; allowed: 0", t.At)
		case !(t.At > at) || t.At > max(p.Length, p.Duration):
			return fmt.Errorf("a target at %v; allowed: after the one before, within the part", t.At)
		case t.Target.Cadence != 0 && !within(t.Target.Cadence, minCadence, maxCadence):
			return fmt.Errorf("a target of %v steps/min; allowed: %v to %v", t.Target.Cadence, minCadence, maxCadence)
		case t.Target.Pace != 0 && (!within(t.Target.Pace, minPace, maxPace) || t.Target.Cadence != 0):
			return fmt.Errorf("a target of %v s/km; allowed: %v to %v, and no cadence besides", t.Target.Pace, minPace, maxPace)
		}
		at = t.At
	}
	for _, r := range p.Reminders {
		at := r.Length + r.Duration
		if (r.Length != 0) == (r.Duration != 0) || math.IsNaN(at) || math.IsInf(at, 0) || r.Every && !(at >= minEvery) {
			return fmt.Errorf("reminder %q is at %v m and %v s; allowed: one of them, and repeated ones at least %v apart", clean(r.Line), r.Length, r.Duration, minEvery)
		}
	}
	return nil
}
