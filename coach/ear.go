package coach

import (
	"fmt"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// ear decides when to say that the walker is no longer heard, and heard again:
// once for each loss.
type ear struct {
	policy Policy
	state  stretch[detect.State]
	lost   bool    // 'cannot hear' was said and 'heard again' was not
	next   float64 // no 'cannot hear' before this, s
}

func (e *ear) see(now float64, r detect.Rhythm) { e.state.see(now, r.State) }

// due implements adviser.
func (e *ear) due(now float64) string {
	held := e.state.held()
	switch {
	case !e.lost && e.state.what == detect.CannotHear && held >= e.policy.Lost && now >= e.next:
		return event.CueLost
	case e.lost && e.state.what == detect.Walking && held >= e.policy.Back:
		return event.CueBack
	}
	return ""
}

// say implements adviser.
func (e *ear) say(now float64) event.Cue {
	held := e.state.held()
	if e.lost {
		e.lost = false
		return event.Cue{Name: event.CueBack, Reason: fmt.Sprintf("walking is heard again for %.1f s", held)}
	}
	e.lost, e.next = true, now+e.policy.MinGap
	return event.Cue{Name: event.CueLost, Reason: fmt.Sprintf("nothing to go by for %.1f s", held)}
}
