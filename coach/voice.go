package coach

import (
	"fmt"
	"slices"

	"steadfoot/coach/event"
)

// horizon is how far beyond the next possible moment a cue is given out, s, so
// that one with a set time is not missed between two ticks 0.5 s apart.
const horizon = 1.0

// most is how many cues may start within a minute, whatever the policy: advice
// that would be one more is not given. The signals of the session's plan do not
// count; they come when they come.
const most = 3

// Unsaid is a cue that was wanted and not said.
type Unsaid struct {
	T      float64 // when it was given up, s
	Name   string  // as in event.Cue, a reminder with its line as in Settings.Spans
	Reason string  // in words
}

// voice lets one cue sound at a time. Wishes wait in it until they are said or
// have lost their meaning.
type voice struct {
	lead   float64            // s
	usual  float64            // room for a cue, s
	spans  map[string]float64 // room for longer ones, s
	free   float64            // no cue may start before this, s
	last   event.Cue
	queue  []wish
	unsaid []Unsaid
	// said holds when the last cues that count started, s, the oldest first.
	said [most]float64
	n    int // how many there were
}

func newVoice(s Settings) voice {
	return voice{lead: s.Policy.Lead, usual: s.Policy.Span, spans: s.Spans}
}

// countdown is how long the three notes take, up to the start they lead to, s.
const countdown = 3.0

// span is the room a cue needs, s.
func (v *voice) span(c event.Cue) float64 {
	if c.Name == event.CueCountdown {
		return countdown // what follows it comes at its end, to the sample
	}
	return max(v.usual, v.spans[fullName(c)])
}

// fullName is the name of a cue in Settings.Spans.
func fullName(c event.Cue) string {
	if c.Name == event.CueReminder {
		return c.Name + ":" + c.Line
	}
	return c.Name
}

// freeFor is when a cue may start, s. The start of the rep comes at the end of the
// countdown, whatever else is wanted there.
func (v *voice) freeFor(name string) float64 {
	if v.last.Name == event.CueCountdown && name != event.CueRepStart {
		return v.free + v.span(event.Cue{Name: event.CueRepStart})
	}
	return v.free
}

// want puts a wish into the queue.
func (v *voice) want(w wish) { v.queue = append(v.queue, w) }

// open tells whether a cue may start at t.
func (v *voice) open(t float64, name string, r rank) bool {
	return t >= v.freeFor(name) && !v.reserved(t, v.span(event.Cue{Name: name}), r)
}

// reserved tells whether a cue from t on would run into one that goes before
// it: of a higher rank, or the countdown, which cannot wait.
func (v *voice) reserved(t, span float64, r rank) bool {
	for _, w := range v.queue {
		if (w.rank > r || w.cue.Name == event.CueCountdown) && w.cue.T > t && w.cue.T < t+span {
			return true
		}
	}
	return false
}

// next takes the wish out of the queue that is to be said now: of the highest
// rank not below least, the earliest. The moment at is the first that is not too
// late to be played.
func (v *voice) next(at float64, least rank) (event.Cue, bool) {
	best := -1
	for i, w := range v.queue {
		start := max(w.cue.T, at, v.freeFor(w.cue.Name))
		if w.rank < least || start > at+horizon || v.reserved(start, v.span(w.cue), w.rank) || w.counts && !v.mayCoach(start) {
			continue
		}
		if best < 0 || w.rank > v.queue[best].rank || w.rank == v.queue[best].rank && w.cue.T < v.queue[best].cue.T {
			best = i
		}
	}
	if best < 0 {
		return event.Cue{}, false
	}
	c := v.queue[best].cue
	c.T = max(c.T, at, v.freeFor(c.Name))
	v.queue = slices.Delete(v.queue, best, best+1)
	return c, true
}

// hair is more than the rounding of a time and less than anyone hears, s.
const hair = 1e-6

// expire gives up what can no longer start in time.
func (v *voice) expire(now float64) {
	kept := v.queue[:0]
	for _, w := range v.queue {
		free := v.freeFor(w.cue.Name)
		switch {
		case max(now+v.lead, free) <= w.until+hair:
			kept = append(kept, w)
		case free > w.until:
			v.drop(now, fullName(w.cue), fmt.Sprintf("%q sounds until %.2f s; it could not start after %.2f s", v.last.Name, free, w.until))
		default:
			v.drop(now, fullName(w.cue), fmt.Sprintf("it could not start after %.2f s", w.until))
		}
	}
	v.queue = kept
}

// clear gives up all wishes of the ranks up to most.
func (v *voice) clear(now float64, most rank, why string) {
	kept := v.queue[:0]
	for _, w := range v.queue {
		if w.rank > most {
			kept = append(kept, w)
			continue
		}
		v.drop(now, fullName(w.cue), why)
	}
	v.queue = kept
}

// takeBack gives up a wish that was for a moment, if it still waits.
func (v *voice) takeBack(now float64, name string, due float64) {
	for i, w := range v.queue {
		if w.cue.Name == name && w.cue.T == due {
			v.queue = slices.Delete(v.queue, i, i+1)
			v.drop(now, fullName(w.cue), "the leader took it back")
			return
		}
	}
}

const keepUnsaid = 100

func (v *voice) drop(now float64, name, why string) {
	if len(v.unsaid) == keepUnsaid {
		v.unsaid = slices.Delete(v.unsaid, 0, keepUnsaid/2)
	}
	v.unsaid = append(v.unsaid, Unsaid{T: now, Name: name, Reason: why})
}

// say notes that a cue is said.
func (v *voice) say(dst []event.Event, c event.Cue) []event.Event {
	v.free = c.T + v.span(c)
	v.last = c
	return append(dst, c)
}

// mayCoach tells whether one more cue at t keeps to the most there may be in a
// minute.
func (v *voice) mayCoach(t float64) bool { return v.n < most || t >= v.said[0]+60 }

// count notes a cue at t.
func (v *voice) count(t float64) {
	copy(v.said[:], v.said[1:])
	v.said[most-1] = t
	v.n++
}
