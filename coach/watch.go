package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// watch follows the cadence and decides when to say quicken, ease or settled.
type watch struct {
	policy    Policy
	low, high float64 // the band, steps/min
	in, out   float64 // the part of it that counts as settled, steps/min

	cadence float64        // last one seen, steps/min; 0 when there is none
	place   stretch[State] // where the cadence is
	inside  stretch[bool]  // within [in, out]
	walking stretch[bool]  // since setting off; a loss of hearing does not count as standing

	spoke float64 // when the last cue about the cadence was decided, s
	calls int     // how often the walker was told since being settled
	owed  bool    // the walker was told, and 'settled' has not been said
}

// newWatch begins to watch at a time in s.
func newWatch(s Settings, now float64) watch {
	w := watch{policy: s.Policy, spoke: math.Inf(-1)}
	w.place = stretch[State]{what: Listening, since: now, last: now}
	w.low, w.high = s.Band()
	w.in = w.low + min(s.Policy.Margin, s.Slow/2)
	w.out = w.high - min(s.Policy.Margin, s.Quick/2)
	return w
}

// see takes in one rhythm event.
func (w *watch) see(now float64, r detect.Rhythm) {
	place := w.judge(r)
	w.cadence = 0
	if r.State == detect.Walking {
		w.cadence = r.Cadence
	}
	w.place.see(now, place)
	w.inside.see(now, place == InBand && r.Cadence >= w.in && r.Cadence <= w.out)
	if w.settled() {
		w.calls = 0
	}
	if r.State == detect.CannotHear {
		w.walking.last = now
	} else {
		w.walking.see(now, r.State == detect.Walking)
	}
}

// judge says where the walker is. What cannot be trusted is Listening; every
// comparison is made so that NaN falls there.
func (w *watch) judge(r detect.Rhythm) State {
	switch {
	case r.State == detect.CannotHear:
		return Deaf
	case r.State != detect.Walking:
		return Standing
	case !(r.CadenceSD <= w.policy.MaxSD && r.Heard >= w.policy.MinHeard):
		return Listening
	case r.Cadence >= w.low && r.Cadence <= w.high:
		return InBand
	case r.Cadence > 0 && r.Cadence < w.low:
		return TooSlow
	case r.Cadence > w.high && r.Cadence <= 2*detect.Fastest:
		return TooQuick
	}
	return Listening
}

// decide returns the cue that is due, "" when none is. What it returns counts
// as said.
func (w *watch) decide(now float64) (name, reason string) {
	if !w.walking.what || w.walking.held() < w.policy.Quiet {
		return "", ""
	}
	switch {
	case w.place.what == TooSlow && w.mayCall(now):
		return event.CueQuicken, w.call(now)
	case w.place.what == TooQuick && w.mayCall(now):
		return event.CueEase, w.call(now)
	case w.owed && w.settled() && now >= w.spoke+w.policy.MinGap:
		return event.CueSettled, w.settle(now)
	}
	return "", ""
}

// settled tells whether the walker is well inside the band, and has stayed.
func (w *watch) settled() bool { return w.inside.what && w.inside.held() >= w.policy.Stay }

func (w *watch) mayCall(now float64) bool {
	return w.place.held() >= w.policy.Leave && now >= w.spoke+w.gap()
}

// gap is the pause after the last cue: longer each time without an answer.
func (w *watch) gap() float64 {
	gap := w.policy.MinGap
	for i := 1; i < w.calls && gap < w.policy.MaxGap; i++ {
		gap *= w.policy.Fade
	}
	return min(gap, w.policy.MaxGap)
}

// call counts a quicken or ease and returns its reason.
func (w *watch) call(now float64) string {
	w.spoke, w.owed = now, true
	w.calls++
	reason := fmt.Sprintf("%.1f steps/min, out for %.1f s, band %.1f to %.1f", w.cadence, w.place.held(), w.low, w.high)
	if w.calls > 1 {
		reason += fmt.Sprintf(", told %d times without settling", w.calls)
	}
	return reason
}

// settle pays what is owed and returns the reason of 'settled'.
func (w *watch) settle(now float64) string {
	w.spoke, w.owed = now, false
	return fmt.Sprintf("%.1f steps/min, within %.1f to %.1f for %.1f s", w.cadence, w.in, w.out, w.inside.held())
}
