package coach

import (
	"fmt"

	"steadfoot/coach/event"
)

// share takes in what the leader of the group wants from now on.
func (c *Coach) share(dst []event.Event, e event.Shared) []event.Event {
	if c.phase != running || !c.course.shared() {
		return dst
	}
	c.pacer.shared.take(e, &c.pacer.beats)
	c.course.share(c.now, e, &c.orders)
	if c.paused && !c.course.paused {
		c.watch.rest(c.now)
	}
	c.paused = c.course.paused
	return c.speak(c.obey(dst), false)
}

// calls are what the leader of a group may announce, and how long after its moment
// each is worth saying, s. The countdown is right at its moment only.
var calls = map[string]float64{
	event.CueStart: 3, event.CueEnd: 5, event.CueCountdown: 0.1, event.CueRepStart: 3,
	event.CueHalfWay: 4, event.CueLastPart: 3, event.CueRepEnd: 3, event.CueRecovered: 3,
	event.CueReminder: 10, event.CuePaused: 5, event.CueResumed: 5,
}

// farCall is how long before its moment an announcement is taken, s.
const farCall = 60.0

// call takes in an announcement of the leader. It waits for its turn as what the
// session itself has to say would.
func (c *Coach) call(dst []event.Event, e event.Call) []event.Event {
	room, ok := calls[e.Name]
	switch {
	case c.phase != running || !c.course.shared():
		return dst
	case e.Name == event.CallOff:
		c.voice.takeBack(c.now, e.Line, e.Due)
		return dst
	case !ok:
		c.voice.drop(c.now, e.Name, "it is nothing that a leader announces")
		return dst
	case !within(e.Due, 0, c.now+farCall) || !within(e.Value, 0, sharedMost):
		c.voice.drop(c.now, e.Name, fmt.Sprintf("the leader announced it for %v s, with the figure %v", e.Due, e.Value))
		return dst
	}
	w := wish{
		cue:  event.Cue{T: e.Due, Name: e.Name, Value: e.Value, Line: e.Line, Reason: "announced by the leader of the group"},
		rank: rankSession, until: e.Due + room,
	}
	if e.Name == event.CueReminder {
		w.rank = rankReminder
	}
	c.voice.want(w)
	return c.speak(dst, false)
}
