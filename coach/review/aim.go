package review

import (
	"encoding/json"
	"sort"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// aims are the targets of a session in the order of their time. Before the first
// one, and where the cadence is 0, the walker is free.
type aims []event.Target

// aimsOf returns the targets that were told; for a session from before they
// were, the one of its settings. It is empty when there are none.
func aimsOf(h logbook.Header, events []event.Event) aims {
	var a aims
	for _, e := range events {
		if t, ok := e.(event.Target); ok {
			a = append(a, t)
		}
	}
	if len(a) > 0 {
		return a
	}
	var set coach.Settings
	if json.Unmarshal(h.Settings, &set) != nil || set.Validate() != nil {
		return nil
	}
	t := event.Target{Cadence: set.Cadence, Pace: set.Pace}
	t.Low, t.High = set.Band()
	return aims{t}
}

// at is the target that holds at time t.
func (a aims) at(t float64) event.Target {
	n := sort.Search(len(a), func(i int) bool { return a[i].T > t })
	if n == 0 {
		return event.Target{}
	}
	return a[n-1]
}

// only returns the one target that held all along, but for times without any.
func (a aims) only() (event.Target, bool) {
	var one event.Target
	for _, t := range a {
		switch {
		case t.Cadence == 0:
		case one.Cadence == 0:
			one = t
		case t.Low != one.Low || t.High != one.High:
			return event.Target{}, false
		}
	}
	return one, one.Cadence > 0
}

// Band is the target and the time spent in, below and above it, each a share of
// the time walked with a target, 0 to 1.
type Band struct {
	// Target, Low and High are in steps/min, and 0 where the session had several.
	Target float64 `json:"target"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	In     float64 `json:"in"`
	Below  float64 `json:"below"`
	Above  float64 `json:"above"`
	Aimed  float64 `json:"aimed"` // time walked with a target, s
}

// bandOf judges the time walked; nil when there was no target.
func bandOf(a aims, walked []span) *Band {
	if len(a) == 0 {
		return nil
	}
	var b Band
	if t, ok := a.only(); ok {
		b.Target, b.Low, b.High = t.Cadence, t.Low, t.High
	}
	for _, w := range walked {
		t := a.at(w.middle())
		if t.Cadence == 0 {
			continue
		}
		b.Aimed += w.length
		switch {
		case w.Cadence < t.Low:
			b.Below += w.length
		case w.Cadence > t.High:
			b.Above += w.length
		default:
			b.In += w.length
		}
	}
	if b.Aimed > 0 {
		b.In, b.Below, b.Above = b.In/b.Aimed, b.Below/b.Aimed, b.Above/b.Aimed
	}
	return &b
}
