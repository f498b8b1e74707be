package coach

import (
	"fmt"
	"iter"
	"slices"

	"steadfoot/coach/event"
)

// Difference is one place where a replay and the stored session part.
type Difference struct {
	T    float64 // s
	What string  // in words
}

// Replay feeds the inputs among events, which must be in the order in which they
// were stored, to a new coach and compares its answers with the stored ones to
// the bit: parts, targets, laps, beats and cues, and the pace and the distance
// that were added to each rhythm. It returns where they differ: nothing when the
// session is sound.
//
// A session without any part was stored before there were parts; parts, targets
// and distances are not asked of it.
func Replay(s Settings, events iter.Seq[event.Event]) []Difference {
	c, err := New(s)
	if err != nil {
		return []Difference{{What: fmt.Sprintf("the stored settings cannot be used: %v", err)}}
	}
	var stored, given []event.Event
	pace, distance := figures{name: "pace", unit: "s/km"}, figures{name: "distance", unit: "m"}
	parts := false
	for e := range events {
		if r, ok := e.(event.Rhythm); ok {
			pace.see(r, r.Pace, c.Pace(r.Cadence))
			distance.see(r, r.Distance, c.Distance())
		}
		if event.IsInput(e) {
			given = c.Handle(given, e)
			continue
		}
		if _, ok := e.(event.Part); ok {
			parts = true
		}
		stored = append(stored, e)
	}
	if !parts {
		return append(pace.differences(), compare(stored, withoutCourse(given))...)
	}
	return append(append(pace.differences(), distance.differences()...), compare(stored, given)...)
}

// withoutCourse leaves out what only sessions with parts have.
func withoutCourse(all []event.Event) []event.Event {
	return slices.DeleteFunc(all, func(e event.Event) bool {
		switch e.(type) {
		case event.Part, event.Target:
			return true
		}
		return false
	})
}

// figures looks for stored figures that are not given again. Where one is not,
// hardly any is, so all of them make one difference.
type figures struct {
	name, unit string
	n          int
	first      Difference
}

func (f *figures) see(r event.Rhythm, stored, given float64) {
	if stored == given {
		return
	}
	if f.n++; f.n == 1 {
		f.first = Difference{r.T, fmt.Sprintf("stored %s %v %s at %v steps/min, given now %v %s", f.name, stored, f.unit, r.Cadence, given, f.unit)}
	}
}

func (f *figures) differences() []Difference {
	switch {
	case f.n == 0:
		return nil
	case f.n > 1:
		f.first.What += fmt.Sprintf("; %d more %ss differ", f.n-1, f.name)
	}
	return []Difference{f.first}
}

// compare walks along both lists. Where they part it looks a little ahead in
// each for the other's next answer, so that one missing cue is one difference.
func compare(stored, given []event.Event) (diffs []Difference) {
	for len(stored) > 0 && len(given) > 0 {
		if stored[0] == given[0] {
			stored, given = stored[1:], given[1:]
			continue
		}
		skip, extra := ahead(stored, given[0]), ahead(given, stored[0])
		switch {
		case skip > 0:
			diffs, stored = only(diffs, stored[:skip], "stored, not given again"), stored[skip:]
		case extra > 0:
			diffs, given = only(diffs, given[:extra], "given now, not stored"), given[extra:]
		default:
			diffs = append(diffs, Difference{stored[0].At(), fmt.Sprintf("stored %s, given now %s", words(stored[0]), words(given[0]))})
			stored, given = stored[1:], given[1:]
		}
	}
	diffs = only(diffs, stored, "stored, not given again")
	return only(diffs, given, "given now, not stored")
}

// ahead returns where e is among the next few of list, 0 when it is not there.
func ahead(list []event.Event, e event.Event) int {
	for i := 1; i < min(len(list), 32); i++ {
		if list[i] == e {
			return i
		}
	}
	return 0
}

func only(diffs []Difference, list []event.Event, what string) []Difference {
	for _, e := range list {
		diffs = append(diffs, Difference{e.At(), what + ": " + words(e)})
	}
	return diffs
}

// words writes an answer with all its digits, as it takes to tell two apart.
func words(e event.Event) string {
	switch e := e.(type) {
	case event.Cue:
		return fmt.Sprintf("cue %s at %v s (%s)%s", e.Name, e.T, e.Reason, cueMore(e))
	case event.Beat:
		return fmt.Sprintf("beat decided at %v s, from %v s every %v s, first foot %v, number %d, %v dB", e.T, e.Start, e.Period, e.Side, e.N, e.Level)
	case event.Part:
		return fmt.Sprintf("part %d, %s %q, at %v s and %v m", e.N, e.Role, e.Label, e.T, e.Distance)
	case event.Target:
		return fmt.Sprintf("target %v steps/min, %v to %v, at %v s (%s)", e.Cadence, e.Low, e.High, e.T, e.Reason)
	case event.Lap:
		return fmt.Sprintf("lap of %v m in %v s at %v s, %d steps of %v m", e.Distance, e.Time, e.T, e.Steps, e.StepLength)
	}
	return fmt.Sprintf("%s at %v s", e.Kind(), e.At())
}

func cueMore(c event.Cue) (s string) {
	if c.Value != 0 {
		s = fmt.Sprintf(" %v", c.Value)
	}
	if c.Line != "" {
		s += fmt.Sprintf(" %q", c.Line)
	}
	return s
}
