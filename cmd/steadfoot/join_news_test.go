package main

import (
	"slices"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

// TestNewsTakenBack: an announcement is handed on once; when it is no longer in the
// map before its moment it is taken back, afterwards not.
func TestNewsTakenBack(t *testing.T) {
	n := news{sessionOf: func(at float64) float64 { return at - 100 }, lead: 0.25}
	half, over := event.Cue{T: 110, Name: event.CueHalfWay}, event.Cue{T: 112, Name: event.CueRepEnd}
	calls := func(now float64, says ...event.Cue) (all []event.Call) {
		for _, e := range n.take(nil, group.Map{State: group.Walking, Says: says}, now, moment{session: now, group: now + 100}) {
			if c, ok := e.(event.Call); ok {
				all = append(all, c)
			}
		}
		return all
	}
	for _, step := range []struct {
		now  float64
		says []event.Cue
		want []event.Call
	}{
		{5, []event.Cue{half}, nil}, // too early
		{7, []event.Cue{half}, []event.Call{{T: 7, Due: 10, Name: event.CueHalfWay}}},
		{8, []event.Cue{half, over}, []event.Call{{T: 8, Due: 12, Name: event.CueRepEnd}}},
		{9, []event.Cue{over}, []event.Call{{T: 9, Due: 10, Name: event.CallOff, Line: event.CueHalfWay}}},
		{9.5, []event.Cue{over}, nil},
		{12.5, nil, nil}, // it was said
		{20, []event.Cue{half}, nil},
	} {
		if got := calls(step.now, step.says...); !slices.Equal(got, step.want) {
			t.Errorf("at %v s: %+v, want %+v", step.now, got, step.want)
		}
	}
}
