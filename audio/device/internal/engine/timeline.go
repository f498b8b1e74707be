package engine

import "math"

// Bounds of the timeline, in seconds.
const (
	same      = 0.003 // less than this is scheduling, not loss
	suspect   = 0.040 // a callback this late without a flag is looked into
	alertFor  = 0.200 // after a flag, anything over same is looked into
	holdFor   = 0.050 // how much sound is held back to tell loss from delay
	groupSpan = 0.100 // the usual delay is the least of so many groups
	groups    = 20
)

// timeline tells lost samples from late callbacks.
//
// The delay of a callback is when its samples were captured, as far as that is
// known, minus the time they stand for. A callback that was only held up is
// followed by others that catch up, and the delay falls back to where it was.
// After a loss it stays higher by what was lost. So when a callback is flagged
// or far too late the timeline holds it and the next ones back, until one is on
// time again (nothing lost) or holdFor has passed (the least delay of them is
// the loss).
type timeline struct {
	rate float64

	least [groups]float64 // least delay of past groups, a ring
	count int             // groups seen
	now   float64         // least delay of this group
	span  float64         // how much of this group has passed, in seconds

	alert   float64 // seconds of heightened care left
	holding bool
	hold    float64 // least delay held
	held    float64 // seconds held
}

func newTimeline(rate float64) *timeline {
	return &timeline{rate: rate, now: math.Inf(1)}
}

// usual is the least delay of the last two seconds.
func (t *timeline) usual() float64 {
	u := t.now
	for _, v := range t.least[:min(t.count, groups)] {
		u = min(u, v)
	}
	return u
}

// observe takes a callback of n samples with its delay in seconds and says
// whether the sound up to it may go on, and how many samples were lost before
// the first held callback (or before this one when none was held). The caller
// must take what it was told off the delays from then on.
func (t *timeline) observe(delay float64, flagged bool, n int) (ready bool, lost int64) {
	length := float64(n) / t.rate
	if flagged {
		t.alert = alertFor
	}
	usual := t.usual()
	if !t.holding {
		bound := suspect
		if t.alert > 0 {
			bound = same
		}
		t.alert -= length
		if delay-usual < bound || math.IsInf(usual, 1) {
			t.note(delay, length)
			return true, 0
		}
		t.holding, t.hold, t.held = true, delay, 0
	}
	t.hold = min(t.hold, delay)
	t.held += length
	switch over := t.hold - usual; {
	case over < same:
	case t.held < holdFor:
		return false, 0
	default:
		lost = int64(math.Round(over * t.rate))
	}
	t.holding = false
	t.note(t.hold-float64(lost)/t.rate, length)
	return true, lost
}

func (t *timeline) note(delay, length float64) {
	t.now = min(t.now, delay)
	if t.span += length; t.span >= groupSpan {
		t.least[t.count%groups] = t.now
		t.count++
		t.now, t.span = math.Inf(1), 0
	}
}
