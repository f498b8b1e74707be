package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
)

// tellWithin is how long after a cue its figure still belongs to it, s.
const tellWithin = 8.0

// tell says the cadence in digits after a cue about it.
type tell struct {
	policy Policy
	watch  *watch
	cue    string  // the one that is to be followed by the figure, "" for none
	until  float64 // s
	next   float64 // no figure before this, s
}

func newTell(p Policy, w *watch) tell { return tell{policy: p, watch: w} }

// after notes what was said.
func (t *tell) after(now float64, name string) {
	switch name {
	case event.CueQuicken, event.CueEase, event.CueSettled:
		t.cue, t.until = name, now+tellWithin
	default:
		t.cue = ""
	}
}

// due implements adviser.
func (t *tell) due(now float64) string {
	if t.policy.Tell == 0 || t.cue == "" || now > t.until || now < t.next || !t.watch.sure() {
		return ""
	}
	return event.CueCadence
}

// say implements adviser.
func (t *tell) say(now float64) event.Cue {
	t.next = now + t.policy.Tell
	return event.Cue{Name: event.CueCadence, Value: math.Round(t.watch.cadence()), Reason: fmt.Sprintf("%.1f steps/min, told after %q", t.watch.cadence(), t.cue)}
}
