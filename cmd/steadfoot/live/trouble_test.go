package live

import (
	"context"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
)

// TestTrouble: what goes wrong beside the walk is an event like any other fault,
// at the time it is told, once; the walker hears it, and a replay agrees. The
// sound that is kept meanwhile is the whole of what was heard.
func TestTrouble(t *testing.T) {
	in := walked.Samples[:5*audio.Rate]
	w, log := newWalk(t, &tape{samples: in, size: 512}, &spool{})
	heard := 0
	w.Ear.(*SoundEar).Heard = func(b *audio.Block) { heard += len(b.Samples) }
	waiting := []string{"the disk is full", "another disk is gone"}
	w.Trouble = func() event.Fault {
		if w.Ear.Now() < 2 || len(waiting) == 0 {
			return event.Fault{}
		}
		what := waiting[0]
		waiting = waiting[1:]
		return event.Fault{What: what}
	}
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	if heard != len(in) {
		t.Errorf("%d samples came by, want %d", heard, len(in))
	}
	var faults []event.Fault
	told := 0
	for _, e := range *log {
		switch e := e.(type) {
		case event.Fault:
			faults = append(faults, e)
		case event.Cue:
			if e.Name == event.CueFault {
				told++
			}
		}
	}
	if len(faults) != 2 || faults[0].What != "the disk is full" || faults[1].What != "another disk is gone" || faults[0].T < 2 || faults[0].T > 2.02 {
		t.Errorf("faults %v", faults)
	}
	if told != 1 { // two at once are told by one signal
		t.Errorf("the walker hears %d signals", told)
	}
	if diffs := coach.Replay(settings(t), slices.Values(*log)); len(diffs) > 0 {
		t.Errorf("a replay differs: %v", diffs)
	}
}
