package coach

import (
	"math"

	"steadfoot/detect"
)

// watch follows the cadence and decides when to say quicken, ease or settled.
type watch struct {
	policy Policy
	goal   goal
	in     float64 // ends of the part of the band that counts as settled, steps/min
	out    float64

	rhythm  detect.Rhythm  // last one seen
	place   stretch[State] // where the cadence is
	inside  stretch[bool]  // within [in, out]
	walking stretch[bool]  // since setting off; a loss of hearing does not count as standing

	beat    bool    // there is a beat to go by
	calm    float64 // nothing is said before this, s: the aim is new
	spoke   float64 // when the last advice was decided, s
	calls   int     // how often the walker was told since being settled
	side    State   // TooSlow or TooQuick: what the walker was told last
	called  float64 // when, s
	passed  int     // how often a word was answered by passing through the band
	turned  bool    // the last one was, and it is counted
	owed    bool    // the walker was told, and 'settled' has not been said
	praised float64 // when 'settled' was said last, s
}

// newWatch begins to watch at a time in s.
func newWatch(p Policy, g goal, now float64) watch {
	w := watch{policy: p, spoke: math.Inf(-1), called: math.Inf(-1), praised: math.Inf(-1)}
	w.place = stretch[State]{what: Listening, since: now, last: now}
	w.set(g)
	return w
}

func (w *watch) set(g goal) {
	w.goal = g
	w.in = g.low + min(w.policy.Margin, (g.cadence-g.low)/2)
	w.out = g.high - min(w.policy.Margin, (g.high-g.cadence)/2)
}

// newAim is the change of a target from which on it is another one, and not the
// next bit of a ramp: 1 %, below which a change of tempo is not noticed.
const newAim = 0.01

// aim takes up another goal. What is known of the walker stays. It tells whether
// the walker has to change: then there is some time to do so without a word, and
// who did not answer before is told anew.
func (w *watch) aim(now float64, g goal) (changed bool) {
	was := w.goal.cadence
	changed = math.Abs(g.cadence-was) > newAim*was
	w.set(g)
	if w.rhythm.T > 0 {
		w.locate(now)
	}
	if changed {
		w.calm, w.calls, w.called = now+w.policy.Grace, 0, math.Inf(-1)
		w.place.since = now
		w.inside.since = now
	}
	return changed
}

// rest gives the walker time to get going again after a pause.
func (w *watch) rest(now float64) { w.calm = max(w.calm, now+w.policy.Quiet) }

// see takes in one rhythm event.
func (w *watch) see(now float64, r detect.Rhythm) {
	w.rhythm = r
	w.locate(now)
	if w.settled() {
		w.calls = 0
		w.owed = w.owed && w.inside.held() < w.policy.Stay+settledNews
	}
	if r.State == detect.CannotHear {
		w.walking.last = now
	} else {
		w.walking.see(now, r.State == detect.Walking)
	}
}

// locate says where the last rhythm is by the goal that holds.
func (w *watch) locate(now float64) {
	place := w.judge(w.rhythm)
	c := w.rhythm.Cadence
	w.place.see(now, place)
	w.answer(now)
	w.inside.see(now, place == InBand && c >= w.in && c <= w.out)
}

// cadence is the last one seen, steps/min; 0 when nobody walks.
func (w *watch) cadence() float64 {
	if w.rhythm.State != detect.Walking {
		return 0
	}
	return w.rhythm.Cadence
}

// sure tells whether the cadence can be gone by; NaN cannot.
func (w *watch) sure() bool {
	r := w.rhythm
	return r.State == detect.Walking && r.CadenceSD <= w.policy.MaxSD && r.Heard >= w.policy.MinHeard &&
		r.Cadence > 0 && r.Cadence <= 2*detect.Fastest
}

// judge says where the walker is. What cannot be trusted is Listening.
func (w *watch) judge(r detect.Rhythm) State {
	switch {
	case r.State == detect.CannotHear:
		return Deaf
	case r.State != detect.Walking:
		return Standing
	case !w.sure():
		return Listening
	case w.goal.cadence == 0:
		return Free
	case r.Cadence < w.goal.low:
		return TooSlow
	case r.Cadence > w.goal.high:
		return TooQuick
	}
	return InBand
}

// ready tells whether advice is in place at all: not while the walker is getting
// going, and not while the target is new.
func (w *watch) ready() bool {
	return w.walking.what && w.walking.held() >= w.policy.Quiet && w.walking.last >= w.calm
}
