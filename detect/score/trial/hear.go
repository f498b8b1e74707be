package trial

import (
	"fmt"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

// Heard is what a detector made of a recording.
type Heard struct {
	Times    []float64       // of the steps, s
	Given    []float64       // how much had come in when each step was told, s
	Sides    []uint8         // of the steps, detect.Left or detect.Right
	Readings []score.Reading // every rhythm while Walking
	Quiet    []float64       // of every rhythm that does not say Walking, s
	Heard    int             // how many of the steps were heard, not bridged
}

// pieceS is how much is fed at once, s: it is the resolution of Given. What the
// detector says does not depend on it.
const pieceS = 0.005

// Hear runs the sound detector over a whole recording.
func Hear(samples []float32, rate float64) (Heard, error) {
	return hear(detect.SoundConfig{Rate: rate}, samples, nil)
}

// hear runs the sound detector over a recording and over rows, each when its time
// has come.
func hear(c detect.SoundConfig, samples []float32, rows []made.Row) (Heard, error) {
	d, err := detect.NewSound(c)
	if err != nil {
		return Heard{}, err
	}
	var h Heard
	var events []detect.Event
	for fed := 0; fed < len(samples); {
		for len(rows) > 0 && rows[0].T <= float64(fed)/c.Rate {
			r := rows[0]
			if err := d.Feel(r.T, r.X, r.Y, r.Z); err != nil {
				return Heard{}, fmt.Errorf("joined: %w", err)
			}
			rows = rows[1:]
		}
		n := min(int(c.Rate*pieceS), len(samples)-fed)
		events = d.Feed(events[:0], samples[fed:fed+n])
		fed += n
		h.add(events, float64(fed)/c.Rate)
	}
	h.add(d.Flush(events[:0]), float64(len(samples))/c.Rate)
	return h, nil
}

// add takes events that were given when the input had come in up to now, s.
func (h *Heard) add(events []detect.Event, now float64) {
	for _, e := range events {
		switch {
		case e.Kind == detect.KindStep:
			h.Times = append(h.Times, e.Step.T)
			h.Given = append(h.Given, now)
			h.Sides = append(h.Sides, uint8(e.Step.Side))
			if e.Step.Heard {
				h.Heard++
			}
		case e.Kind == detect.KindRhythm && e.Rhythm.State == detect.Walking:
			h.Readings = append(h.Readings, h.reading(e.Rhythm))
		case e.Kind == detect.KindRhythm:
			h.Quiet = append(h.Quiet, e.Rhythm.T)
		}
	}
}

// readingSpan is the length that a reported cadence is taken over, s, as
// package detect has it: whole strides within it, back from the last step.
const readingSpan = 4

func (h *Heard) reading(r detect.Rhythm) score.Reading {
	y := score.Reading{T: r.T, Cadence: r.Cadence, SD: r.CadenceSD}
	last := len(h.Times) - 1
	n := 0
	for n < last && h.Times[last-n-1] > r.T-readingSpan {
		n++
	}
	if n &^= 1; n > 0 {
		y.From, y.To = h.Times[last-n], h.Times[last]
	}
	return y
}
