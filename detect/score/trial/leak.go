package trial

import (
	"fmt"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// Leak is a walk in which the microphone hears what is played.
type Leak struct {
	Case
	Path  made.Leak
	Moved made.Leak // the path from half time on; the zero value: it stays
	Track Track
}

// Track says what is played.
type Track uint8

// A beat at another tempo (200 against the walk's 184); one at the walk's own
// that starts 40 ms after a step and runs freely; one that is locked to the
// feet, 40 ms after or before each step, but for a few ms; words; and cues,
// which are longer than clicks.
const (
	OtherTempo Track = iota
	SameTempo
	LockedAfter
	LockedBefore
	OnTheStep
	Spoken
)

var trackNames = [...]string{"other tempo", "same tempo, 40 ms off", "40 ms after the steps", "40 ms before the steps", "on the steps", "words"}

// Leaks are walks of 30 s at 184 steps/min with clicks or words in them, each
// walks of a kind: all tracks as loud as the steps with delays from 0 to 290 ms,
// with and without a room; clicks 10 dB louder; 20 dB softer; in noise; and a
// path that changes at half time.
func Leaks(each int) []Leak {
	var all []Leak
	add := func(group string, track Track, k int, change func(*Leak)) {
		for i := range each {
			l := Leak{Track: track}
			s := walker(300+7*i+k, made.Steady(184))
			l.Path = made.Leak{Seed: uint64(i + k), Delay: []float64{0.020, 0.150, 0, 0.290}[(i+k)%4], LowHz: 200, HighHz: 7000}
			if (i+k/4)%2 == 1 {
				l.Path.Room, l.Path.RoomDB = 0.3, -6
			}
			l.Case = numbered("leak, "+trackNames[track]+group, i, s)
			change(&l)
			l.Name += fmt.Sprintf(", %.0f ms, room %.1f s", 1000*l.Path.Delay, l.Path.Room)
			all = append(all, l)
		}
	}
	for t := OtherTempo; t <= Spoken; t++ {
		add("", t, int(t), func(*Leak) {})
	}
	add(", +10 dB", OtherTempo, 1, func(l *Leak) { l.Path.DB = 10 })
	add(", +10 dB", SameTempo, 2, func(l *Leak) { l.Path.DB = 10 })
	add(", -20 dB", OtherTempo, 3, func(l *Leak) { l.Path.DB = -20 })
	add(", pink +0 dB", OtherTempo, 4, func(l *Leak) { l.Spec.Noises = pink0 })
	add(", path moves", OtherTempo, 5, func(l *Leak) {
		l.Moved = l.Path
		l.Moved.Seed, l.Moved.Delay, l.Moved.DB = 99, l.Path.Delay+0.0004, -4
		l.Moved.Room, l.Moved.RoomDB = 0.2, -3
	})
	return all
}

// Walk makes the walk of the case, and the truth about it. Played is set.
func (l Leak) Walk() (made.Walk, Truth) {
	w := l.Spec.Walk()
	seconds := float64(len(w.Samples)) / w.Rate
	starts := l.starts(w, seconds)
	var played []float32
	if l.Track == Spoken {
		played = made.SpokenTrack(l.Spec.Seed, starts, w.Rate, seconds)
	} else {
		played = made.ClickTrack(starts, w.Rate, seconds)
	}
	heard := l.Path.Into(w, played, starts, l.Spec.Level)
	if l.Moved != (made.Leak{}) {
		half := len(w.Samples) / 2
		copy(heard.Samples[half:], l.Moved.Into(w, played, starts, l.Spec.Level).Samples[half:])
	}
	return heard, Of(w)
}

// Without is the same walk without anything played.
func (l Leak) Without() (made.Walk, Truth) { return l.Case.Walk() }

// starts are the times of what is played, s. A locked beat follows the feet as
// a coach would: it knows their rhythm, not the next step.
func (l Leak) starts(w made.Walk, seconds float64) []float64 {
	var t []float64
	steps := w.Times()
	locked := map[Track]float64{LockedAfter: 0.040, LockedBefore: -0.040, OnTheStep: 0}
	if off, ok := locked[l.Track]; ok {
		off -= l.Path.Delay // as it is heard
		for i := 2; i < len(steps); i++ {
			at := 2*steps[i-1] - steps[i-2] // where the last two steps say
			at = 0.3*at + 0.7*steps[i]
			if at+off > 0 {
				t = append(t, at+off)
			}
		}
		return t
	}
	period, at := 60/200.0, 0.1
	switch l.Track {
	case SameTempo:
		period, at = 60/184.0, steps[0]+0.040
	case Spoken:
		period = 0.45
	}
	for ; at < seconds; at += period {
		t = append(t, at)
	}
	return t
}

// HearPlayed runs the sound detector over a whole recording, and tells it what
// was played, as in made.Walk.Played; nil tells nothing.
func HearPlayed(samples, played []float32, rate float64) (Heard, error) {
	d, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	if err != nil {
		return Heard{}, err
	}
	var h Heard
	hearPlayed(d, samples, played, rate, h.add)
	h.add(d.Flush(nil), float64(len(samples))/rate)
	return h, nil
}

// hearPlayed feeds a detector a whole recording, and what was played; each is
// called with what it finds and how much had come in then, s.
func hearPlayed(d *detect.Sound, samples, played []float32, rate float64, each func([]detect.Event, float64)) {
	var events []detect.Event
	for fed := 0; fed < len(samples); {
		n := min(int(rate*pieceS), len(samples)-fed)
		if to := min(fed+n, len(played)); fed < to {
			d.Played(played[fed:to])
		}
		events = d.Feed(events[:0], samples[fed:fed+n])
		fed += n
		each(events, float64(fed)/rate)
	}
}
