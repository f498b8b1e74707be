package coach

import (
	"fmt"

	"steadfoot/coach/event"
)

// speak says what is to be said now. Safety comes first, then the signals of
// the session, then advice, and the coach's own lines last. Only a tick brings
// news of the walker; a mark brings out what the session wants said.
func (c *Coach) speak(dst []event.Event, tick bool) []event.Event {
	c.voice.expire(c.now)
	for {
		cue, ok := c.choose(tick)
		if !ok {
			return dst
		}
		dst = c.voice.say(dst, cue)
	}
}

func (c *Coach) choose(tick bool) (event.Cue, bool) {
	at := c.now + c.set.Policy.Lead
	if !tick {
		cue, ok := c.voice.next(at, rankSession)
		if ok && isOwnWord(cue.Name) {
			c.faultSaid(cue)
		}
		return cue, ok
	}
	if cue, ok := c.voice.next(at, rankSafety); ok {
		c.faultSaid(cue)
		return cue, true
	}
	if cue, ok := c.hearing(at); ok {
		return cue, true
	}
	if cue, ok := c.voice.next(at, rankSession); ok {
		return cue, true
	}
	if cue, ok := c.advise(at); ok {
		return cue, true
	}
	return c.voice.next(at, rankReminder)
}

// hearing tells that the walker is not heard, or heard again.
func (c *Coach) hearing(at float64) (event.Cue, bool) {
	name := c.ear.due(c.now)
	if name == "" || c.paused || !c.voice.open(at, name, rankSafety) {
		return event.Cue{}, false
	}
	if name == event.CueLost {
		if cue, ok := c.whyDeaf(at); ok {
			c.faultSaid(cue)
			return cue, true
		}
	}
	cue := c.ear.say(c.now)
	cue.T = at
	c.voice.count(at)
	return cue, true
}

// advise asks the advisers, the one that matters most first. Only the first that
// wants to speak may, and only if the voice is free for it at once: advice is
// not kept, it is asked for anew at the next tick.
func (c *Coach) advise(at float64) (event.Cue, bool) {
	a, name := c.adviser()
	if name == "" {
		c.wanted.none(&c.voice, c.now)
		return event.Cue{}, false
	}
	switch {
	case !c.voice.open(at, name, rankCadence):
		c.wanted.wait(&c.voice, c.now, name, waitVoice)
	case !c.voice.mayCoach(at):
		c.wanted.wait(&c.voice, c.now, name, waitMinute)
	default:
		cue := a.say(c.now)
		cue.T = at
		c.voice.count(at)
		c.watch.spoke, c.wanted.name = c.now, ""
		c.tell.after(c.now, name)
		return cue, true
	}
	return event.Cue{}, false
}

func (c *Coach) adviser() (adviser, string) {
	if c.paused || !c.watch.ready() {
		return nil, ""
	}
	for _, a := range [...]adviser{&c.watch, &c.tell, &c.even, &c.fall, &c.keep} {
		if name := a.due(c.now); name != "" {
			return a, name
		}
	}
	return nil, ""
}

// pending is advice that is due and must wait.
type pending struct {
	name  string
	since float64 // s
	why   wait
}

type wait uint8

const (
	waitVoice wait = iota
	waitMinute
)

var waitWords = [...]string{
	waitVoice:  "something else was being said or about to be",
	waitMinute: "there were three coaching cues within a minute",
}

// wait notes that a cue is due and why it is not said.
func (p *pending) wait(v *voice, now float64, name string, why wait) {
	if p.name != name {
		p.none(v, now)
		p.name, p.since = name, now
	}
	p.why = why
}

// none notes that it is not due any more: it lost its meaning before it could be
// said.
func (p *pending) none(v *voice, now float64) {
	if p.name != "" {
		v.drop(now, p.name, fmt.Sprintf("due at %.2f s, but %s; since then it has lost its meaning", p.since, waitWords[p.why]))
		p.name = ""
	}
}

// Unsaid returns the latest cues that were wanted and not said, the oldest
// first. The slice belongs to the coach.
func (c *Coach) Unsaid() []Unsaid { return c.voice.unsaid }
