package profiles

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	maxEffort    = 100  // points of an effort plan
	maxReminders = 50   // of one part
	minEvery     = 10.0 // m or s between repeated reminders
)

// piece reads what all parts have; the role is the caller's.
func (l *layout) piece(key string, f *planPiece) (p PlanPart, bad *fault) {
	p.Label = strings.TrimSpace(f.Label)
	if err := checkText(p.Label, maxName); err != nil {
		return p, faultf(key+".label", "label %v", err)
	}
	if f.For == "" {
		return p, faultf(key+".for", `for is missing; allowed: %s; write for = "400 m"`, partsAllowed)
	}
	e, err := readExtent(f.For, l.plan.Lap)
	if err != nil {
		return p, faultf(key+".for", "for %v", err)
	}
	p.Length, p.Duration, p.Ready = e.length, e.duration, e.ready
	if bad := checkBeat(key+".beat", f.Beat); bad != nil {
		return p, bad
	}
	p.Beat = f.Beat
	if p.Band, bad = readBand(key+".band", f.Band); bad != nil {
		return p, bad
	}
	if p.Targets, bad = l.targets(key, f, e); bad != nil {
		return p, bad
	}
	p.Reminders, bad = l.reminders(key, f.Remind, e)
	return p, bad
}

// targets reads a target, a ramp or an effort plan.
func (l *layout) targets(key string, f *planPiece, e extent) ([]PlanPoint, *fault) {
	if len(f.Effort) > 0 {
		if f.Target != "" || f.To != nil {
			return nil, faultf(key+".effort", "there is an effort plan and a target; allowed: one of them; remove the other")
		}
		return l.effort(key, f, e)
	}
	if f.Glide {
		return nil, faultf(key+".glide", "glide goes with an effort plan; allowed: effort with two or more points; for a ramp write to = ...")
	}
	from, bad := l.aimed(key+".target", f.Target)
	if bad != nil {
		return nil, bad
	}
	if f.To == nil {
		if from.Free() {
			return nil, nil
		}
		return []PlanPoint{{Target: from}}, nil
	}
	to, bad := l.aimed(key+".to", *f.To)
	switch {
	case bad != nil:
		return nil, bad
	case from.Free() || to.Free():
		return nil, faultf(key+".to", "a ramp needs a target at its start and at its end; allowed: target = ... and to = ..., none of them free; write both")
	case e.ready:
		return nil, faultf(key+".to", `a ramp needs to know its end; allowed: a distance or a time; change for = "ready"`)
	}
	return []PlanPoint{{Target: from, Glide: true}, {At: e.length + e.duration, Target: to}}, nil
}

// aimed reads and works out one target.
func (l *layout) aimed(key, text string) (PlanTarget, *fault) {
	a, err := readAim(text)
	if err != nil {
		return PlanTarget{}, faultf(key, "%v", err)
	}
	t, err := a.target(l.plan.Race)
	if err != nil {
		return PlanTarget{}, faultf(key, "%v", err)
	}
	return t, nil
}

// effort reads an effort plan.
func (l *layout) effort(key string, f *planPiece, e extent) ([]PlanPoint, *fault) {
	if len(f.Effort) > maxEffort {
		return nil, faultf(key+".effort", "the effort plan has %d points; allowed: up to %d; take fewer", len(f.Effort), maxEffort)
	}
	var out []PlanPoint
	for i, point := range f.Effort {
		key := fmt.Sprintf("%s.effort[%d]", key, i)
		at, err := readPlace(point.At, l.plan.Lap)
		if err != nil {
			return nil, faultf(key+".at", "at %v", err)
		}
		t, bad := l.aimed(key+".target", point.Target)
		if bad != nil {
			return nil, bad
		}
		place := at.length + at.duration
		switch {
		case e.ready || place != 0 && (at.length != 0) != (e.length != 0):
			return nil, faultf(key+".at", `at is %q; allowed: a distance in a part by distance, a time in one by time; use the unit of for`, clean(point.At))
		case i == 0 && place != 0:
			return nil, faultf(key+".at", `the first point is at %q; allowed: the start; write at = "0 km"`, clean(point.At))
		case i > 0 && !(place > out[i-1].At) || place > e.length+e.duration:
			return nil, faultf(key+".at", "at is %q; allowed: after the point before, and within the part; sort the points", clean(point.At))
		case f.Glide && t.Free():
			return nil, faultf(key+".target", "a target that glides cannot be free; allowed: a cadence or a pace; write one, or remove glide")
		}
		out = append(out, PlanPoint{At: place, Target: t, Glide: f.Glide})
	}
	out[len(out)-1].Glide = false
	return out, nil
}

// reminders reads the coach's lines in a part.
func (l *layout) reminders(key string, list []planRemind, e extent) ([]Reminder, *fault) {
	if len(list) > maxReminders {
		return nil, faultf(key+".remind", "there are %d reminders; allowed: up to %d in a part; take fewer", len(list), maxReminders)
	}
	var out []Reminder
	for i, f := range list {
		r, bad := l.reminder(fmt.Sprintf("%s.remind[%d]", key, i), f, e)
		if bad != nil {
			return nil, bad
		}
		out = append(out, r)
	}
	return out, nil
}

func (l *layout) reminder(key string, f planRemind, e extent) (Reminder, *fault) {
	r := Reminder{Line: strings.TrimSpace(f.Say)}
	if err := checkLine(r.Line); err != nil {
		return r, faultf(key+".say", "say %v", err)
	}
	var text *string
	name, given := "", 0
	for _, way := range []struct {
		name string
		text *string
	}{{"at", f.At}, {"every", f.Every}, {"before_end", f.BeforeEnd}} {
		if way.text != nil {
			name, text = way.name, way.text
			given++
		}
	}
	if given != 1 {
		return r, faultf(key+".say", `reminder %q has %d places; allowed: one of at, every and before_end; write at = "500 m"`, r.Line, given)
	}
	key += "." + name
	at, err := readPlace(*text, l.plan.Lap)
	if err != nil {
		return r, faultf(key, "%s %v", name, err)
	}
	place, sameUnit := at.length+at.duration, !e.ready && (at.length != 0) == (e.length != 0)
	switch {
	case !(place > 0):
		return r, faultf(key, "%s is %q; allowed: more than 0; correct it", name, clean(*text))
	case sameUnit && place >= e.length+e.duration, place > maxPart:
		return r, faultf(key, "%s is %q; allowed: less than the part lasts; correct it", name, clean(*text))
	case name == "every" && place < minEvery:
		return r, faultf(key, "every is %q; allowed: 10 m or 10 s and more; a voice that never stops is not heard", clean(*text))
	case name == "before_end" && !sameUnit:
		return r, faultf(key, "before_end is %q; allowed: a distance in a part by distance, a time in one by time; use the unit of for", clean(*text))
	case name == "before_end":
		at.length, at.duration = -at.length, -at.duration
	}
	r.Length, r.Duration, r.Every = at.length, at.duration, name == "every"
	return r, nil
}

// checkBeat checks a beat mode.
func checkBeat(key, beat string) *fault {
	switch beat {
	case "", BeatOff, Steady, Lead, Follow, Demand:
		return nil
	}
	return faultf(key, `%s is %q; allowed: %s; leave it out for the athlete's own`, key[strings.LastIndex(key, ".")+1:], clean(beat), beatKind)
}

// readBand reads a band; both sides must be there.
func readBand(key string, f *fileBand) (*Band, *fault) {
	if f == nil {
		return nil, nil
	}
	a := Athlete{}
	if bad := (&file{Band: f}).band(&a); bad != nil {
		return nil, &fault{key + strings.TrimPrefix(bad.key, "band"), bad.text}
	}
	return &a.Band, nil
}

// checkText checks words for a person.
func checkText(s string, most int) error {
	if n := utf8.RuneCountInString(s); n > most {
		return fmt.Errorf("has %d characters; allowed: up to %d; shorten it", n, most)
	}
	if strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) }) {
		return errors.New("has characters that cannot be shown; allowed: letters, digits, signs and spaces; retype it")
	}
	return nil
}

// checkLine checks the name of a voice line, which is also the name of its file.
func checkLine(s string) error {
	if s == "" || utf8.RuneCountInString(s) > 40 || strings.ContainsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != ' ' && r != '-' && r != '_'
	}) {
		return fmt.Errorf(`%q is no voice line; allowed: 1 to 40 letters, digits, spaces, - and _; write say = "posture"`, clean(s))
	}
	return nil
}
