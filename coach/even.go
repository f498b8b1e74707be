package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// even notices when left and right steps have come apart in time.
type even struct {
	policy Policy
	watch  *watch
	off    stretch[int8] // -1, 0, 1: the sign of an unevenness beyond the limit
	last   float64       // %, right minus left
	next   float64       // nothing is said before this, s
}

func newEven(p Policy, w *watch) even { return even{policy: p, watch: w} }

// see takes in one rhythm event. The figure is a mean over some sixty steps
// already; that it must stay is for the walker's bends and kerbs.
func (e *even) see(now float64, r detect.Rhythm) {
	sign := int8(0)
	if e.watch.sure() && math.Abs(r.Unevenness) > e.policy.Uneven && e.policy.Uneven > 0 {
		sign = int8(math.Copysign(1, r.Unevenness))
	}
	e.last = r.Unevenness
	e.off.see(now, sign)
}

// due implements adviser. Who walks a free part is not told.
func (e *even) due(now float64) string {
	if e.off.what == 0 || e.off.held() < e.policy.UnevenStay || now < e.next || now < e.watch.spoke+e.policy.MinGap || e.watch.goal.cadence == 0 {
		return ""
	}
	return event.CueUneven
}

// say implements adviser.
func (e *even) say(now float64) event.Cue {
	e.next = now + e.policy.UnevenGap
	longer := "right"
	if e.off.what < 0 {
		longer = "left"
	}
	return event.Cue{Name: event.CueUneven, Reason: fmt.Sprintf("the steps of the %s foot take %.1f %% longer, more than %.1f %% for %.0f s", longer, math.Abs(e.last), e.policy.Uneven, e.off.held())}
}
