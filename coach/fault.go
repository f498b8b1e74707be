package coach

import (
	"fmt"
	"slices"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

const (
	// faultGap is the least time between two words of one kind about faults, s.
	// They come in swarms, and the first one is what the walker can act on.
	faultGap = 60.0
	// faultNews is how long a fault without a code is worth telling, s; one that
	// the walker can mend waits for its turn.
	faultNews = 10.0
)

// faults is when each word about faults may be said again, s. There is one word
// for all faults without a code.
type faults map[string]float64

// faultCues are the words for faults by their codes.
var faultCues = map[string]string{
	event.FaultMuted:   event.CueMuted,
	event.FaultQuiet:   event.CueQuiet,
	event.FaultClipped: event.CueClipped,
	event.FaultWind:    event.CueWind,
	event.FaultBattery: event.CueBattery,
}

// fault wishes to tell that something is wrong. It is said with the next tick,
// if there is one: a fault that ends the walk is told by the end signal.
func (c *Coach) fault(f event.Fault) {
	if c.phase != running {
		return
	}
	w := wish{
		cue:   event.Cue{T: c.now + c.set.Policy.Lead, Name: event.CueFault, Reason: fmt.Sprintf("the fault at %.1f s", f.T)},
		rank:  rankSafety,
		until: c.now + faultNews,
	}
	if name := faultCues[f.Code]; name != "" {
		w.cue.Name, w.until, w.counts = name, c.now+faultGap, true
	}
	if c.now < c.faults[w.cue.Name] {
		c.voice.drop(c.now, w.cue.Name, "another one was told less than a minute before: "+f.What)
		return
	}
	if c.faults == nil {
		c.faults = faults{}
	}
	c.faults[w.cue.Name] = c.now + faultGap
	c.voice.want(w)
}

// faultSaid counts a word about a fault. One about hearing stands for 'cannot
// hear', so that only 'heard again' is still to be said.
func (c *Coach) faultSaid(cue event.Cue) {
	c.voice.count(cue.T)
	if isOwnWord(cue.Name) {
		c.faults[cue.Name] = c.now + faultGap // it may have had to wait
	}
	if isHearing(cue.Name) {
		c.ear.lost, c.ear.next = true, c.now+c.set.Policy.MinGap
	}
}

// whyDeaf takes the word that says why nothing is heard out of the queue, where
// one waits: it is said in the place of 'cannot hear'.
func (c *Coach) whyDeaf(at float64) (event.Cue, bool) {
	for i, w := range c.voice.queue {
		if isHearing(w.cue.Name) {
			w.cue.T = at
			c.voice.queue = slices.Delete(c.voice.queue, i, i+1)
			return w.cue, true
		}
	}
	return event.Cue{}, false
}

// heard gives up words about hearing that had to wait, once the walker is heard.
// They were not said, so that they may be at the next time.
func (c *Coach) heard(r detect.Rhythm) {
	if r.State != detect.Walking || r.Heard < c.set.Policy.MinHeard {
		return
	}
	c.voice.queue = slices.DeleteFunc(c.voice.queue, func(w wish) bool {
		if !isHearing(w.cue.Name) {
			return false
		}
		c.voice.drop(c.now, w.cue.Name, "walking was heard before it could be said")
		delete(c.faults, w.cue.Name)
		return true
	})
}

// isOwnWord tells whether a cue is the word for a fault with a code.
func isOwnWord(name string) bool { return isHearing(name) || name == event.CueBattery }

// isHearing tells whether it is one because of which steps are not heard.
func isHearing(name string) bool {
	switch name {
	case event.CueMuted, event.CueQuiet, event.CueClipped, event.CueWind:
		return true
	}
	return false
}
