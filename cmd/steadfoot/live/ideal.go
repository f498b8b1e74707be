package live

import (
	"io"

	"steadfoot/coach"
	"steadfoot/detect"
)

// Ideal walks a session as it is planned: exactly at the target, and at its own
// cadence where there is none. It is heard without fail, so the coach says what
// belongs to the session and nothing else. It is for making a session into sound
// beforehand.
type Ideal struct {
	// Coach is asked for the target; it must be the walk's.
	Coach *coach.Coach
	// Free is the cadence where the walker is free, steps/min.
	Free float64
	// Wait is how long a part lasts that waits until somebody is ready, s.
	Wait float64
	// Skip ends a part that waits; its marks must reach the walk.
	Skip func()

	now    float64
	next   float64 // when the next step falls, s
	tick   float64 // when the next rhythm is due, s
	since  float64 // when the present part began, s
	part   int
	walked bool // the plan was begun
}

// idealPiece is how far one call of Next goes, s.
const idealPiece = 0.02

// Next implements Ear. The end of the plan is the end of the input.
func (w *Ideal) Next(dst []detect.Event) ([]detect.Event, error) {
	s := w.Coach.Status()
	if s.Part.N > 0 {
		w.walked = true
	} else if w.walked {
		return dst, io.EOF
	}
	if s.Part.N != w.part {
		w.part, w.since = s.Part.N, w.now
	}
	if s.Part.N > 0 && s.Part.Length == 0 && s.Part.Duration == 0 && w.now >= w.since+w.Wait {
		w.since = w.now
		w.Skip()
	}
	cadence := s.Target
	if cadence == 0 {
		cadence = w.Free
	}
	w.now += idealPiece
	for ; w.next < w.now; w.next += 60 / cadence {
		dst = append(dst, detect.Event{Kind: detect.KindStep, Step: detect.Step{T: w.next, Confidence: 1, Heard: true}})
	}
	if w.now >= w.tick {
		w.tick += 0.5
		dst = append(dst, detect.Event{Kind: detect.KindRhythm, Rhythm: detect.Rhythm{T: w.now, State: detect.Walking, Cadence: cadence, CadenceSD: 0.1, Heard: 1}})
	}
	return dst, nil
}

// Flush implements Ear.
func (w *Ideal) Flush(dst []detect.Event) []detect.Event { return dst }

// Now implements Ear.
func (w *Ideal) Now() float64 { return w.now }

// Fault implements Ear.
func (w *Ideal) Fault() string { return "" }
