package coach

import (
	"fmt"

	"steadfoot/coach/event"
)

// keep says 'hold' to who has been right for long and has not heard a word. The
// pause doubles each time: who can do it needs to be told less and less.
type keep struct {
	policy Policy
	watch  *watch
	began  float64 // when the part or the target did, s
	times  int     // how often it was said since the walker was out of the band or in another part
	seen   float64 // since when the walker has been settled, when it was said last
}

// part begins anew: another part, or another target.
func (k *keep) part(now float64) { k.began, k.times = now, 0 }

// quiet is since when nothing was said, s.
func (k *keep) quiet() float64 { return max(k.began, k.watch.spoke) }

func (k *keep) pause() float64 { return k.policy.Hold * float64(int(1)<<min(k.times, 6)) }

// due implements adviser.
func (k *keep) due(now float64) string {
	in := k.watch.inside
	if k.policy.Hold == 0 || !k.watch.settled() {
		return ""
	}
	if in.since != k.seen {
		k.seen, k.times = in.since, 0
	}
	if in.held() < k.policy.Hold || now < k.quiet()+k.pause() {
		return ""
	}
	return event.CueHold
}

// say implements adviser.
func (k *keep) say(now float64) event.Cue {
	c := event.Cue{Name: event.CueHold, Reason: fmt.Sprintf("%.1f steps/min, right for %.0f s, and nothing was said for %.0f s", k.watch.cadence(), k.watch.inside.held(), now-k.quiet())}
	k.times++
	return c
}
