// Package cue makes what the walker hears: foot clicks and short tones, mixed
// to the sample by one [Player] and kept under a ceiling by a limiter.
//
// Start with [NewPlayer], give it sounds with [Player.Play] at output sample
// indices, and take stereo frames with [Player.Render]. All sounds are made and
// levelled before the first frame, so rendering only adds and multiplies: no
// allocation, no lock, no clock. The same calls give the same samples.
//
// A Player and the streamers it plays belong to one goroutine at a time.
//
// The package cannot know how loud an earbud is: levels here are digital, in
// dB below full scale. What reaches the ear depends on the device's own volume.
package cue

import "fmt"

// Sound is one of the built-in sounds.
type Sound int

// The built-in sounds. How each is made, and why so, is told in recipes.go.
const (
	ClickLeft  Sound = iota // beat for a left foot: lower, a little to the left
	ClickRight              // beat for a right foot: higher, a little to the right
	Start                   // short, short, long on one pitch
	End                     // three even notes, lower
	Quicken                 // two notes, rising
	Ease                    // two notes, falling
	Settled                 // one bell-like note
	Lost                    // two rough, buzzing notes
	Back                    // a rough note that turns clear
	sounds                  // how many there are
)

var names = [sounds]string{
	"click left", "click right",
	"start", "end", "quicken", "ease", "settled", "cannot hear", "heard again",
}

// String gives the sound's name in words.
func (s Sound) String() string {
	if !s.known() {
		return fmt.Sprintf("sound %d", int(s))
	}
	return names[s]
}

// IsClick tells whether s marks a beat; the other sounds are cues.
func (s Sound) IsClick() bool { return s == ClickLeft || s == ClickRight }

func (s Sound) known() bool { return s >= 0 && s < sounds }

// All lists every sound, clicks first.
func All() []Sound {
	all := make([]Sound, sounds)
	for i := range all {
		all[i] = Sound(i)
	}
	return all
}

// Named finds the sound whose String is name.
func Named(name string) (Sound, bool) {
	for i, n := range names {
		if n == name {
			return Sound(i), true
		}
	}
	return 0, false
}
