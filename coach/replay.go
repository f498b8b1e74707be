package coach

import (
	"fmt"
	"iter"

	"steadfoot/coach/event"
)

// Difference is one place where a replay and the stored session part.
type Difference struct {
	T    float64 // s
	What string  // in words
}

// Replay feeds the inputs among events, which must be in the order in which they
// were stored, to a new coach and compares its answers with the stored ones to
// the bit: cues, beats, and the pace that was added to each rhythm. It returns
// where they differ: nothing when the session is sound.
func Replay(s Settings, events iter.Seq[event.Event]) []Difference {
	c, err := New(s)
	if err != nil {
		return []Difference{{What: fmt.Sprintf("the stored settings cannot be used: %v", err)}}
	}
	var stored, given []event.Event
	var paces paces
	for e := range events {
		if r, ok := e.(event.Rhythm); ok {
			paces.see(r, c.Pace(r.Cadence))
		}
		if event.IsInput(e) {
			given = c.Handle(given, e)
		} else {
			stored = append(stored, e)
		}
	}
	return append(paces.differences(), compare(stored, given)...)
}

// paces looks for stored paces that are not given again. Where one is not,
// hardly any is, so all of them make one difference.
type paces struct {
	n     int
	first Difference
}

func (p *paces) see(stored event.Rhythm, given float64) {
	if stored.Pace == given {
		return
	}
	if p.n++; p.n == 1 {
		p.first = Difference{stored.T, fmt.Sprintf("stored pace %v s/km at %v steps/min, given now %v s/km", stored.Pace, stored.Cadence, given)}
	}
}

func (p *paces) differences() []Difference {
	switch {
	case p.n == 0:
		return nil
	case p.n > 1:
		p.first.What += fmt.Sprintf("; %d more paces differ", p.n-1)
	}
	return []Difference{p.first}
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
		return fmt.Sprintf("cue %s at %v s (%s)", e.Name, e.T, e.Reason)
	case event.Beat:
		return fmt.Sprintf("beat decided at %v s, from %v s every %v s, first foot %v", e.T, e.Start, e.Period, e.Side)
	}
	return fmt.Sprintf("%s at %v s", e.Kind(), e.At())
}
