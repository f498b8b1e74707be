package profiles

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of the values of a profile. Elites of a world cup averaged steps of
// 1.08 to 1.23 m at 194 to 205 steps/min (Hanley, Bissas and Drake, "Kinematics
// of Elite Race Walking"); the limits leave room for a child's stroll. Wireless
// earbuds are said to lag 100 to 250 ms.
const (
	minLength, maxLength   = 0.3, 2.0    // m
	minCadence, maxCadence = 90.0, 240.0 // steps/min, what the detector follows
	maxLatency             = 1000.0      // ms
	maxName                = 80          // characters
	minLevel, maxLevel     = 60.0, 140.0 // dB(A)
)

// fault is a value that is not allowed, and the key it stands at.
type fault struct{ key, text string }

func faultf(key, format string, a ...any) *fault {
	return &fault{key, fmt.Sprintf(format, a...)}
}

// athlete checks f and turns it into an Athlete.
func (f *file) athlete() (a Athlete, bad *fault) {
	a = Defaults()
	for _, part := range []func(*Athlete) *fault{f.person, f.sound, f.beat, f.cues, f.steps, f.measured, f.target, f.band} {
		if bad := part(&a); bad != nil {
			return Athlete{}, bad
		}
	}
	return a, nil
}

func (f *file) person(a *Athlete) *fault {
	name := strings.TrimSpace(f.Name)
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return faultf("name", `name is missing; allowed: 1 to %d characters; write name = "..." at the top`, maxName)
	case n > maxName:
		return faultf("name", "name has %d characters; allowed: 1 to %d; shorten it", n, maxName)
	case strings.ContainsFunc(name, unprintable):
		return faultf("name", "name has characters that cannot be shown; allowed: letters, digits, signs and spaces; retype it")
	}
	a.Name = name
	switch foot := Foot(f.FirstFoot); foot {
	case "", Left, Right:
		a.FirstFoot = foot
	default:
		return faultf("first_foot", `first_foot is %q; allowed: "left" or "right"; remove it when it is not known`, clean(f.FirstFoot))
	}
	return nil
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }

func (f *file) sound(a *Athlete) *fault {
	if !within(f.Volume, 0, 1) {
		return faultf("volume", "volume is %v; allowed: 0 (silent) to 1 (as loud as the cap allows); start low, at about 0.3", f.Volume)
	}
	if !within(f.LatencyMS, 0, maxLatency) {
		return faultf("latency_ms", "latency_ms is %v; allowed: 0 to %v ms; 0 for a cable, what was measured for wireless earbuds", f.LatencyMS, maxLatency)
	}
	if f.LevelAtFull != 0 && !within(f.LevelAtFull, minLevel, maxLevel) {
		return faultf("level_at_full", "level_at_full is %v; allowed: %v to %v dB(A); what a full-scale 1 kHz tone measures at the ear; remove it when nobody measured it", f.LevelAtFull, minLevel, maxLevel)
	}
	a.Volume, a.LatencyMS, a.LevelAtFull = f.Volume, f.LatencyMS, f.LevelAtFull
	return nil
}

func (f *file) steps(a *Athlete) *fault {
	if f.StepLength != nil {
		if len(f.StepLengths) > 0 {
			return faultf("step_lengths", "both step_length and step_lengths are there; allowed: one of them; remove the other")
		}
		a.StepLength = Constant(*f.StepLength)
		if err := a.StepLength.Check(); err != nil {
			return faultf("step_length", "%v", err)
		}
		return nil
	}
	if len(f.StepLengths) == 1 {
		return faultf("step_lengths", "step_lengths has one point; allowed: two or more; write step_length = %v for a single value", f.StepLengths[0].Length)
	}
	if len(f.StepLengths) == 0 {
		return nil
	}
	a.StepLength = f.StepLengths
	if i, err := a.StepLength.check(); err != nil {
		return faultf(fmt.Sprintf("step_lengths[%d]", i), "%v", err)
	}
	return nil
}

func (f *file) target(a *Athlete) *fault {
	t := f.Target
	switch {
	case t == nil:
		return nil
	case t.Cadence != nil && t.Pace != nil:
		return faultf("target.pace", "the target has a cadence and a pace; allowed: one of them; remove the other")
	case t.Cadence != nil:
		if !within(*t.Cadence, minCadence, maxCadence) {
			return faultf("target.cadence", "cadence is %v steps/min; allowed: %v to %v; count both feet", *t.Cadence, minCadence, maxCadence)
		}
		a.Target.Cadence = *t.Cadence
	case t.Pace != nil:
		return f.pace(a)
	default:
		return faultf("target", `the target is empty; allowed: cadence or pace; write cadence = 192 or pace = "5:10" below [target]`)
	}
	return nil
}

// pace checks a target pace: it must be one the walker's steps can give.
func (f *file) pace(a *Athlete) *fault {
	pace, err := ParsePace(*f.Target.Pace)
	if err != nil {
		return faultf("target.pace", "%s", clean(err.Error()))
	}
	if len(a.StepLength) == 0 {
		return faultf("target.pace", "a target pace needs a step length; allowed: %v to %v m; write step_length = ... above the tables", minLength, maxLength)
	}
	cadence := a.StepLength.Cadence(pace)
	if !within(cadence, minCadence, maxCadence) {
		return faultf("target.pace", "pace %s needs %.0f steps/min at this step length; allowed: %v to %v; correct the pace or the step length", clean(*f.Target.Pace), cadence, minCadence, maxCadence)
	}
	a.Target.Pace = pace
	return nil
}

func (f *file) band(a *Athlete) *fault {
	if f.Band == nil {
		return nil
	}
	limit := 30.0
	switch f.Band.Unit {
	case "", unitSteps:
	case unitPercent:
		a.Band.Percent, limit = true, 15
	default:
		return faultf("band.unit", `unit is %q; allowed: "steps/min" or "%%"; steps/min when it is left out`, clean(f.Band.Unit))
	}
	sides := []struct {
		key  string
		from *float64
		to   *float64
	}{{"slow", f.Band.Slow, &a.Band.Slow}, {"quick", f.Band.Quick, &a.Band.Quick}}
	for _, side := range sides {
		if side.from == nil {
			return faultf("band", "%s is missing; allowed: 0.5 to %v; write %s = 4 below [band]", side.key, limit, side.key)
		}
		if !within(*side.from, 0.5, limit) {
			return faultf("band."+side.key, "%s is %v; allowed: 0.5 to %v in this unit; about 4 steps/min or 2 %% is usual", side.key, *side.from, limit)
		}
		*side.to = *side.from
	}
	return nil
}
