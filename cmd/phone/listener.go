package main

import (
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// listener follows one walker. It is a plain value with methods, like what it is
// made of. The zero listener hears nothing.
type listener struct {
	sound  *detect.Sound  // one of
	motion *detect.Motion // the two
	guide  guide

	next  int64 // sample that comes next
	found []detect.Event
	out   []event.Event
}

// newSound returns a listener for sound of that rate, Hz.
func newSound(rate float64) (*listener, error) {
	d, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	return &listener{sound: d}, err
}

// newMotion returns a listener for the rows of an accelerometer.
func newMotion() (*listener, error) {
	d, err := detect.NewMotion(detect.MotionConfig{})
	return &listener{motion: d}, err
}

// silence stands for what was played while samples were lost.
var silence [4096]float32

// hear takes the samples of the microphone from place frame on, counted from the
// first ones, and what was played meanwhile, which may be empty. Samples that are
// missing in between count as lost; those that came before are left out. The events
// hold until the next call.
func (l *listener) hear(frame int64, mic, played []float32) []event.Event {
	l.found = l.found[:0]
	if l.sound == nil || frame < l.next {
		return nil
	}
	if lost := frame - l.next; lost > 0 {
		l.found = l.sound.Skip(l.found, lost)
		for n := lost; n > 0 && len(played) > 0; n -= int64(len(silence)) {
			l.sound.Played(silence[:min(n, int64(len(silence)))])
		}
	}
	if len(played) > 0 {
		l.sound.Played(played)
	}
	l.found = l.sound.Feed(l.found, mic)
	l.next = frame + int64(len(mic))
	return l.coached()
}

// feel takes one row of the accelerometer at time t, s, on the sensor's clock. A row
// that cannot be is left out.
func (l *listener) feel(t, x, y, z float64) []event.Event {
	if l.motion == nil {
		return nil
	}
	l.found, _ = l.motion.Feed(l.found[:0], t, x, y, z)
	return l.coached()
}

// coached is what was found, and what the coach says to it.
func (l *listener) coached() []event.Event {
	l.out = l.out[:0]
	for _, e := range l.found {
		in := event.From(e)
		l.out = append(l.out, in)
		l.out = l.guide.take(l.out, in)
	}
	return l.out
}

// leak is the delay from playing to hearing it again, s; 0 while none is known.
func (l *listener) leak() float64 {
	if l.sound == nil {
		return 0
	}
	found, _ := l.sound.Leak()
	return found.Delay
}
