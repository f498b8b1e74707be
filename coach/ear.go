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

// decide returns the cue that is due, "" when none is. What it returns counts
// as said.
func (e *ear) decide(now float64) (name, reason string) {
	held := e.state.held()
	switch {
	case !e.lost && e.state.what == detect.CannotHear && held >= e.policy.Lost && now >= e.next:
		e.lost, e.next = true, now+e.policy.MinGap
		return event.CueLost, fmt.Sprintf("nothing to go by for %.1f s", held)
	case e.lost && e.state.what == detect.Walking && held >= e.policy.Back:
		e.lost = false
		return event.CueBack, fmt.Sprintf("walking is heard again for %.1f s", held)
	}
	return "", ""
}
