package sim

import (
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// Step is one true step.
type Step struct {
	T      float64 // first contact, s
	Length float64 // m
	Beat   float64 // the beat nearest to it, s; only when Period is not 0
	Period float64 // from beat to beat, in s a step; 0: no beat was heard near it
	With   bool    // the walker was following the beat
}

// body walks: it decides when the next foot comes down.
type body struct {
	Walker
	noise  *scatter
	mind   *mind
	will   *will
	words  *listener
	beat   *follower
	now    float64 // the last contact, s
	side   detect.Side
	length float64 // of the last step, m
}

func newBody(w Walker) *body {
	return &body{
		Walker: w,
		noise:  newScatter(w.Seed, w.Gait),
		mind:   newMind(w.Seed, w.Attention),
		will:   newWill(w.Effort, w.Gait.Preferred, w.Target, w.Seed),
		words:  newListener(w.Seed, w.Answer, w.Target),
		beat:   &follower{Sync: w.Sync},
		now:    firstStep,
		side:   detect.Left,
		length: w.Gait.Length,
	}
}

// firstStep is when the first foot comes down, s.
const firstStep = 0.5

// own is the step period the walker means to walk at t, s.
func (b *body) own(t float64) float64 {
	_, cadence := b.Fatigue.left(t)
	return 60 / (b.Gait.Preferred * cadence * (1 + b.will.e))
}

// attend moves the attention on to t. A lapse may end the following of the beat.
func (b *body) attend(t float64) {
	if b.mind.at(t) {
		b.beat.lapse(b.mind.rng.Float64())
	}
}

// word takes in a cue.
func (b *body) word(c event.Cue) {
	b.attend(c.T)
	b.mind.word(c.T, b.words.rng.Float64())
	b.words.word(c, b.mind.on)
}

// hear takes in what sounded near the last step: one beat, or none with ok
// false. It returns that step, complete.
func (b *body) hear(beat float64, ok bool) Step {
	own := b.own(b.now)
	b.attend(b.now)
	s := Step{T: b.now, Length: b.length}
	if ok {
		b.beat.beat(beat, own)
	}
	b.beat.see(b.now, own, b.mind.on)
	if ok {
		s.Beat, s.Period, s.With = beat, b.beat.period, b.beat.on
	}
	return s
}

// step decides the next step after s, the last one as hear returned it.
func (b *body) step(s Step) {
	own := b.own(b.now)
	keeper, leg := b.noise.next()
	var phase float64
	if s.With && s.Period > 0 {
		var effort float64
		phase, effort = b.beat.correct(s.T-s.Beat, own, b.mind.on)
		b.will.add(effort)
	}
	b.side = b.side.Other()
	uneven := b.Gait.Unevenness / 200
	if b.side == detect.Left {
		uneven = -uneven
	}
	interval := own * min(max(1+keeper+leg+phase+uneven, 0.6), 1.4)
	b.will.drift(interval, b.mind.on)
	b.now += interval
	b.will.add(b.words.due(b.now))
	left, _ := b.Fatigue.left(b.now)
	b.length = b.Gait.Length * left
}
