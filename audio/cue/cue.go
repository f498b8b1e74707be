// Package cue makes what the walker hears: foot clicks and cues, mixed to the
// sample by one [Player] and kept under a ceiling by a limiter.
//
// Start with [NewPlayer] for the output and [NewVoice] for the cues, whose three
// layers are tones, syllables of a small formant voice, and the coach's own
// recordings. Give the player clicks with [Player.PlayClick] and cues with
// [Player.PlayClip] at output sample indices, and take stereo frames with
// [Player.Render]. All sounds are made and levelled beforehand, so rendering
// only adds and multiplies: no allocation, no lock, no clock. The same calls
// give the same samples.
//
// A Player, a Voice and the streamers they play belong to one goroutine at a
// time.
//
// The package cannot know how loud an earbud is: levels here are digital, in
// dB below full scale. What reaches the ear depends on the device's own volume;
// [Dose] estimates it from a level the user has measured.
package cue

import "fmt"

// Sound is one of the built-in clicks and tones.
type Sound int

// The built-in sounds, by their names in [Named]. How each is made, and why so,
// is told in recipes.go.
const (
	ClickLeft Sound = iota
	ClickRight
	Start
	End
	Quicken
	Ease
	Settled
	Hold
	Fade
	Uneven
	Lost
	Back
	Countdown
	RepStart
	HalfWay
	LastPart
	RepEnd
	Recovered
	Reminder
	Fault
	Paused
	Resumed
	Lap
	Muted
	Quiet
	Loud
	Wind
	Battery
	sounds // how many there are
)

// table has the name of every sound and how it sounds.
var table = [sounds]struct{ name, tones string }{
	ClickLeft:  {"click left", "a lower click, a little to the left"},
	ClickRight: {"click right", "a higher click, a little to the right"},
	Start:      {"start", "short, short, long on one pitch"},
	End:        {"end", "three even notes, low"},
	Quicken:    {"quicken", "two notes, rising"},
	Ease:       {"ease", "two notes, falling"},
	Settled:    {"settled", "one bell-like note"},
	Hold:       {"hold", "two long notes on one pitch"},
	Fade:       {"fade", "three notes, falling and slowing"},
	Uneven:     {"uneven", "a limp: short long, short long"},
	Lost:       {"cannot hear", "two rough notes"},
	Back:       {"heard again", "a rough note that turns clear"},
	Countdown:  {"countdown", "three short notes, one second apart"},
	RepStart:   {"rep start", "one long high note"},
	HalfWay:    {"half way", "three notes, up and down again"},
	LastPart:   {"last part", "three quick notes, rising"},
	RepEnd:     {"rep end", "three short notes and a low long one"},
	Recovered:  {"recovery over", "three short notes and a high long one"},
	Reminder:   {"reminder", "one short note"},
	Fault:      {"fault", "three rough notes, falling"},
	Paused:     {"paused", "two pairs, each falling"},
	Resumed:    {"resumed", "two pairs, each rising"},
	Lap:        {"lap", "two short high notes"},
	Muted:      {"muted", "four short rough notes"},
	Quiet:      {"too quiet", "two rough notes, rising"},
	Loud:       {"too loud", "two rough notes, falling"},
	Wind:       {"wind", "three rough notes, up and down"},
	Battery:    {"battery", "four short rough notes, falling"},
}

// String gives the sound's name in words.
func (s Sound) String() string {
	if !s.known() {
		return fmt.Sprintf("sound %d", int(s))
	}
	return table[s].name
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
	for i, e := range table {
		if e.name == name {
			return Sound(i), true
		}
	}
	return 0, false
}
