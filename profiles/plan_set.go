package profiles

import (
	"fmt"
	"strings"
)

func (l *layout) allSets() *fault {
	for i := range l.file.Set {
		if bad := l.set(fmt.Sprintf("set[%d]", i), &l.file.Set[i]); bad != nil {
			return bad
		}
	}
	return nil
}

// set lays out all rounds of a set.
func (l *layout) set(key string, f *planSet) *fault {
	if len(f.Rep) == 0 {
		return faultf(key, `a set has no reps; allowed: one or more; write [[set.rep]] below [[set]], and below that for = "400 m"`)
	}
	if err := checkText(f.Label, maxName); err != nil {
		return faultf(key+".label", "label %v", err)
	}
	rounds, bad := count(key+".rounds", f.Rounds, maxRounds)
	if bad != nil {
		return bad
	}
	of := 0
	for i := range f.Rep {
		n, bad := count(fmt.Sprintf("%s.rep[%d].times", key, i), f.Rep[i].Times, maxParts)
		if bad != nil {
			return bad
		}
		of += n
	}
	for r := 1; r <= rounds; r++ {
		l.sets++
		if bad := l.round(key, f, of); bad != nil {
			return bad
		}
		end, name := f.Between, ".between"
		if r == rounds {
			end, name = f.After, ".after"
		}
		if bad := l.instead(key+name, end, &f.Rep[len(f.Rep)-1]); bad != nil {
			return bad
		}
	}
	return nil
}

// count reads a number of times, 1 when it is not there.
func count(key string, n *int, most int) (int, *fault) {
	if n == nil {
		return 1, nil
	}
	if *n < 1 || *n > most {
		return 0, faultf(key, "%s is %d; allowed: 1 to %d; correct the number", key[strings.LastIndex(key, ".")+1:], *n, most)
	}
	return *n, nil
}

// round lays out the reps of a set once; of is their number.
func (l *layout) round(key string, f *planSet, of int) *fault {
	rep := 0
	for i := range f.Rep {
		r := &f.Rep[i]
		key := fmt.Sprintf("%s.rep[%d]", key, i)
		times, _ := count(key+".times", r.Times, maxParts)
		for k := range times {
			rep++
			part, bad := l.rep(key, r, k, times)
			if bad != nil {
				return bad
			}
			if part.Label == "" {
				part.Label = f.Label
			}
			part.Set, part.Rep, part.Of = l.sets, rep, of
			if bad := l.add(key, part); bad != nil {
				return bad
			}
			if r.Recovery == nil {
				continue
			}
			if bad := l.recovery(key+".recovery", *r.Recovery, r); bad != nil {
				return bad
			}
		}
	}
	return nil
}

// rep is the k-th of so many reps, counted from 0.
func (l *layout) rep(key string, f *planRep, k, times int) (PlanPart, *fault) {
	part, bad := l.piece(key, &f.planPiece)
	if bad != nil {
		return part, bad
	}
	part.Role = PlanRep
	if f.Drill {
		part.Role = PlanDrill
	}
	if f.Drill && part.Label == "" {
		return part, faultf(key+".drill", `a drill has no label; allowed: 1 to %d characters; write label = "..." so that it can be told`, maxName)
	}
	if f.Last == nil {
		return part, nil
	}
	if f.To != nil || len(f.Effort) > 0 || times < 2 {
		return part, faultf(key+".last", "last goes from the first rep to the last one; allowed: with target and times = 2 or more, without to and effort; change the one or the other")
	}
	first, err := readAim(f.Target)
	if err != nil {
		return part, faultf(key+".target", "%v", err)
	}
	last, err := readAim(*f.Last)
	if err != nil {
		return part, faultf(key+".last", "%v", err)
	}
	if first.unit != last.unit || first.unit == free {
		return part, faultf(key+".last", "target is %q and last is %q; allowed: both in the same unit; change the one or the other", first, last)
	}
	t, err := first.between(last, float64(k)/float64(times-1)).target(l.plan.Race)
	if err != nil {
		return part, faultf(key+".last", "%v", err)
	}
	part.Targets = []PlanPoint{{Target: t}}
	return part, nil
}

// recovery lays out the recovery after the last part, if there is to be one.
func (l *layout) recovery(key, text string, after *planRep) *fault {
	if strings.TrimSpace(text) == wordNone {
		return nil
	}
	e, err := readExtent(text, l.plan.Lap)
	if err != nil {
		return faultf(key, `%v`, err)
	}
	at := key[:strings.LastIndex(key, ".")+1]
	if strings.HasSuffix(key, ".recovery") {
		key = at + "recovery_target"
	}
	a, err := readAim(after.RecoveryTarget)
	if err != nil {
		return faultf(key, "%v", err)
	}
	t, err := a.target(l.plan.Race)
	if err != nil {
		return faultf(key, "%v", err)
	}
	if bad := checkBeat(at+"recovery_beat", after.RecoveryBeat); bad != nil {
		return bad
	}
	before := l.plan.Parts[len(l.plan.Parts)-1]
	p := PlanPart{
		Role: PlanRecovery, Set: before.Set, Rep: before.Rep, Of: before.Of,
		Length: e.length, Duration: e.duration, Ready: e.ready, Beat: after.RecoveryBeat,
	}
	if !t.Free() {
		p.Targets = []PlanPoint{{Target: t}}
	}
	return l.add(key, p)
}

// instead puts another recovery in the place of the last one.
func (l *layout) instead(key string, text *string, last *planRep) *fault {
	if text == nil {
		return nil
	}
	if n := len(l.plan.Parts); l.plan.Parts[n-1].Role == PlanRecovery {
		l.plan.Parts = l.plan.Parts[:n-1]
	}
	return l.recovery(key, *text, last)
}
