package sim

import (
	"math/rand/v2"

	"steadfoot/coach/event"
)

// Answer is what a walker makes of words. All values are the project's choice.
type Answer struct {
	Chance  float64 // that a word heard with attention is acted on, 0 to 1
	Latency float64 // from the start of the cue to the first changed step, s, on average
	Size    float64 // how much a word changes the cadence, %, on average
	Digits  float64 // how much they do of what the cadence in digits tells is missing; 1 is just that, on average
	Scatter float64 // SD of both from word to word, relative
}

// The project's choices of what goes for all walkers.
const (
	answerS = 2.0 // a change takes this long from its first step to its full size, some six steps, s
	oneWord = 8.0 // the cadence in digits so soon after 'quicken' or 'ease' is understood as one word with it, s
)

// listener turns words into changes of effort.
type listener struct {
	Answer
	target  float64 // steps/min
	rng     *rand.Rand
	answers []answer // under way
}

type answer struct {
	heard float64 // s
	from  float64 // s
	size  float64 // relative
	added float64 // of it, so far
}

func newListener(seed uint64, a Answer, target float64) *listener {
	return &listener{Answer: a, target: target, rng: stream(seed, partAnswers)}
}

// word takes in a cue. The same random numbers are drawn for every word.
func (l *listener) word(c event.Cue, attentive bool) {
	acts := l.rng.Float64() < l.Chance
	latency := l.Latency * (0.5 + l.rng.Float64())
	by := l.meaning(c) * max(0, 1+l.Scatter*l.rng.NormFloat64())
	if !acts || !attentive || by == 0 {
		return
	}
	if n := len(l.answers); c.Name == event.CueCadence && n > 0 && c.T-l.answers[n-1].heard < oneWord {
		l.answers[n-1].size = by // now they know by how much
		return
	}
	l.answers = append(l.answers, answer{heard: c.T, from: c.T + latency, size: by})
}

// meaning is what a word asks for, as the walker takes it. Quicken and ease do
// not say by how much; fade is taken for half a quicken, and the cadence in
// digits tells those who know their target what is missing.
func (l *listener) meaning(c event.Cue) float64 {
	switch c.Name {
	case event.CueQuicken:
		return l.Size / 100
	case event.CueEase:
		return -l.Size / 100
	case event.CueFade:
		return l.Size / 200
	case event.CueCadence:
		if c.Value > 0 {
			return l.Digits * (l.target/c.Value - 1)
		}
	}
	return 0
}

// due returns the change of effort up to t that was not returned before.
func (l *listener) due(t float64) (change float64) {
	open := l.answers[:0]
	for _, a := range l.answers {
		now := a.size * min(max((t-a.from)/answerS, 0), 1)
		change += now - a.added
		a.added = now
		if t < max(a.from+answerS, a.heard+oneWord) {
			open = append(open, a)
		}
	}
	l.answers = open
	return change
}
