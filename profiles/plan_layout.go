package profiles

import "strings"

// Limits of a whole plan.
const (
	maxParts  = 1000
	maxRounds = 100
	maxNote   = 1000 // characters
)

// layout turns a session file into the parts of a plan.
type layout struct {
	file *planFile
	plan *Plan
	sets int // rounds laid out so far
}

// all lays the whole file out.
func (l *layout) all() *fault {
	for _, step := range []func() *fault{l.head, l.race, l.warmUp, l.allSets, l.coolDown} {
		if bad := step(); bad != nil {
			return bad
		}
	}
	if len(l.plan.Parts) == 0 {
		return faultf("", `there is nothing to walk; allowed: [warm_up], [[set]] and [cool_down]; write [[set]] and below it [[set.rep]] with for = "400 m"`)
	}
	if err := l.plan.Check(); err != nil {
		return faultf("", "%v; allowed: what adds up to less; shorten it", err)
	}
	return nil
}

// head reads what stands above the tables.
func (l *layout) head() *fault {
	f, p := l.file, l.plan
	if p.Name = strings.TrimSpace(f.Name); p.Name == "" {
		return faultf("name", `name is missing; allowed: 1 to %d characters; write name = "..." at the top`, maxName)
	}
	if err := checkText(p.Name, maxName); err != nil {
		return faultf("name", "name %v", err)
	}
	p.Note = strings.TrimSpace(f.Note)
	if err := checkText(strings.ReplaceAll(p.Note, "\n", " "), maxNote); err != nil {
		return faultf("note", "note %v", err)
	}
	switch {
	case f.Lane != nil && f.Lap != nil:
		return faultf("lap", "both lane and lap are there; allowed: one of them; remove the other")
	case f.Lane != nil:
		lap, err := LapLength(*f.Lane)
		if err != nil {
			return faultf("lane", `lane is %d; allowed: 1 to 9 of a standard track; elsewhere write lap = "1 km"`, *f.Lane)
		}
		p.Lane, p.Lap = *f.Lane, lap
	case f.Lap != nil:
		e, err := readPlace(*f.Lap, 0)
		if err != nil || !within(e.length, 50, 50_000) {
			return faultf("lap", `lap is %q; allowed: "50 m" to "50 km"; write the length of one lap`, clean(*f.Lap))
		}
		p.Lap = e.length
	}
	return nil
}

// race reads the race that percentages refer to.
func (l *layout) race() *fault {
	r := l.file.Race
	switch {
	case r == nil:
		return nil
	case r.Pace != nil && r.Distance == nil && r.Time == nil:
		pace, err := ParsePace(strings.TrimSpace(strings.TrimSuffix(*r.Pace, "/km")))
		if err != nil {
			return faultf("race.pace", "%s", clean(err.Error()))
		}
		l.plan.Race = pace
		return nil
	case r.Pace != nil || r.Distance == nil || r.Time == nil:
		return faultf("race", `race is not clear; allowed: pace alone, or distance and time; write race = { distance = "20 km", time = "1:30:00" }`)
	}
	d, err := readPlace(*r.Distance, l.plan.Lap)
	if err != nil || !within(d.length, 100, maxPart) {
		return faultf("race.distance", `distance is %q; allowed: "100 m" to "100 km"; write the length of the race`, clean(*r.Distance))
	}
	t, ok := readClock(strings.TrimSpace(*r.Time))
	if !ok {
		return faultf("race.time", `time is %q; allowed: minutes and seconds, or hours too; write it like "44:30" or "1:30:00"`, clean(*r.Time))
	}
	l.plan.Race = t / d.length * 1000
	if !within(l.plan.Race, minPace, maxPace) {
		return faultf("race.time", "that makes %.0f s for a kilometre; allowed: 2:00 to 20:00; check distance and time", l.plan.Race)
	}
	return nil
}

func (l *layout) warmUp() *fault   { return l.single(PlanWarmUp, "warm_up", l.file.WarmUp) }
func (l *layout) coolDown() *fault { return l.single(PlanCoolDown, "cool_down", l.file.CoolDown) }

// single lays out what is walked once.
func (l *layout) single(role, key string, f *planPiece) *fault {
	if f == nil {
		return nil
	}
	part, bad := l.piece(key, f)
	if bad != nil {
		return bad
	}
	part.Role = role
	return l.add(key, part)
}

// add appends a part; key is what the plan grew too long by.
func (l *layout) add(key string, p PlanPart) *fault {
	if len(l.plan.Parts) == maxParts {
		return faultf(key, "the session has more than %d parts; allowed: %d, recoveries counted; take fewer reps or rounds", maxParts, maxParts)
	}
	l.plan.Parts = append(l.plan.Parts, p)
	return nil
}
