package coach

import (
	"fmt"
	"math"

	"steadfoot/coach/event"
)

// due implements adviser.
func (w *watch) due(now float64) string {
	switch {
	case (w.place.what == TooSlow || w.place.what == TooQuick) && w.mayCall(now):
		return w.word()
	case w.owed && w.settled() && now >= w.spoke+w.policy.MinGap && now >= w.praised+w.policy.SettleGap:
		return event.CueSettled
	}
	return ""
}

// settledNews is how long after it was so 'settled' is still worth saying, s.
const settledNews = 15.0

// say implements adviser.
func (w *watch) say(now float64) event.Cue {
	if w.place.what == InBand {
		w.owed, w.praised = false, now
		return event.Cue{Name: event.CueSettled, Reason: fmt.Sprintf("%.1f steps/min, within %.1f to %.1f for %.1f s", w.cadence(), w.in, w.out, w.inside.held())}
	}
	w.owed, w.side, w.called, w.turned = true, w.place.what, now, false
	w.calls++
	c := event.Cue{Name: w.word(), Reason: fmt.Sprintf("%.1f steps/min, out for %.1f s, band %.1f to %.1f", w.cadence(), w.place.held(), w.goal.low, w.goal.high)}
	if w.coarse() {
		c.Value = math.Round(w.cadence())
		c.Reason += fmt.Sprintf(", in digits, as words were answered with too much (%d)", w.passed)
	}
	if w.calls > 1 {
		c.Reason += fmt.Sprintf(", told %d times without settling", w.calls)
	}
	return c
}

// word is how a walker out of the band is told.
func (w *watch) word() string {
	switch {
	case w.coarse():
		return event.CueCadence
	case w.place.what == TooSlow:
		return event.CueQuicken
	}
	return event.CueEase
}

// settled tells whether the walker is well inside the band, and has stayed.
func (w *watch) settled() bool { return w.inside.what && w.inside.held() >= w.policy.Stay }

// mayCall tells whether the walker may be told again. Who was told the opposite
// a short while ago has answered with too much and is given time to come back
// alone: to call at once would rock them from side to side.
func (w *watch) mayCall(now float64) bool {
	leave := w.policy.Leave
	if w.beat {
		leave = max(leave, w.policy.Patience)
	}
	if w.opposite() && now < w.called+w.hold() {
		return false
	}
	return w.place.held() >= leave && now >= w.spoke+w.gap()
}

// hold is how long the opposite word is held back after one: the longer when
// what the walker does was an answer to it.
func (w *watch) hold() float64 {
	if w.turned {
		return w.policy.Turn
	}
	return min(w.policy.Turn, otherHold)
}

// otherHold is how long it is held back from a walker who leaves the band on the
// other side later, by themselves, s.
const otherHold = 90.0

// gap is the pause after the last cue: longer each time without an answer.
func (w *watch) gap() float64 {
	gap := w.policy.MinGap
	for i := 1; i < w.calls && gap < w.policy.MaxGap; i++ {
		gap *= w.policy.Fade
	}
	return min(gap, w.policy.MaxGap)
}

// answerWithin is how long after a word what the walker does is an answer to it,
// s.
const answerWithin = 30.0

// answer notes when a word was answered with too much.
func (w *watch) answer(now float64) {
	if !w.turned && w.opposite() && w.place.held() >= w.policy.Leave && now < w.called+answerWithin {
		w.passed++
		w.turned = true
	}
}

// opposite tells whether the walker is out of the band on the other side than
// when told last.
func (w *watch) opposite() bool {
	return w.place.what == TooSlow && w.side == TooQuick || w.place.what == TooQuick && w.side == TooSlow
}

// coarse tells whether words are too coarse for the walker.
func (w *watch) coarse() bool {
	return w.policy.TooMuch > 0 && float64(w.passed) >= w.policy.TooMuch
}
