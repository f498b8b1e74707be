package cue

import (
	"math"
	"sync"

	"steadfoot/audio"
	"steadfoot/audio/cue/formant"
)

// spoken is the speech layer. The digits are in two intonations.
type spoken struct {
	cues     map[Sound]*Clip
	on, last [10]*Clip
}

// speech makes the speech layer once; it is never changed afterwards.
var speech = sync.OnceValue(func() *spoken {
	s := &spoken{cues: map[Sound]*Clip{}}
	var cues [sounds]*Clip
	var all []func()
	for cue, w := range words {
		all = append(all, func() { cues[cue] = w.say() })
	}
	for d, phones := range digits {
		all = append(all,
			func() { s.on[d] = word{phones: phones, pitch: goingOn}.say() },
			func() { s.last[d] = word{phones: phones, pitch: closing}.say() })
	}
	together(all...)
	for cue := range words {
		s.cues[cue] = cues[cue]
	}
	s.cues[Countdown] = countdown(s.on[3], s.on[2], s.last[1])
	return s
})

// say gives the word at the loudness of cues. Its onset is where the first vowel
// starts: that is about when a syllable is heard to fall (from memory).
func (w word) say() *Clip {
	slow := pace
	if w.slow > 0 {
		slow *= w.slow
	}
	mono, vowels, err := formant.Say(audio.Rate, w.phones, w.pitch, slow)
	if err != nil {
		panic(err) // a mistake in words.go; a test says them all
	}
	mono, _ = level(mono)
	c := newClip(mono)
	c.onset = int(vowels[0] * audio.Rate)
	return c
}

// countdown puts the onsets of the words one second apart. It lasts as many
// seconds as there are words, so that what is counted to follows on it.
func countdown(count ...*Clip) *Clip {
	first := count[0].onset
	c := &Clip{mono: make([]float32, len(count)*audio.Rate), left: 1, right: 1, onset: first}
	for i, w := range count {
		copy(c.mono[first-w.onset+i*audio.Rate:], w.mono)
	}
	return c
}

// gap is the silence between two digits, s.
const gap = 0.04

// join puts clips one after another, brought to the loudness of one.
func join(parts []*Clip) *Clip {
	const pause = int(gap * audio.Rate)
	c := &Clip{left: 1, right: 1, onset: parts[0].onset}
	for i, p := range parts {
		if i > 0 {
			c.mono = append(c.mono, make([]float32, pause)...)
		}
		c.mono = append(c.mono, p.mono...)
	}
	mono := make([]float64, len(c.mono))
	for i, x := range c.mono {
		mono[i] = float64(x)
	}
	gain := math.Pow(10, (CueLoudness-bothEars(mono))/20)
	gain = min(gain, roomPeak/peak(mono))
	for i := range c.mono {
		c.mono[i] *= float32(gain)
	}
	return c
}
