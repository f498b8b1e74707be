package trial

import (
	"steadfoot/detect"
	"steadfoot/detect/score"
)

// Heard is what a detector made of a recording.
type Heard struct {
	Times    []float64       // of the steps, s
	Sides    []uint8         // of the steps, detect.Left or detect.Right
	Readings []score.Reading // every rhythm while Walking
	Heard    int             // how many of the steps were heard, not bridged
}

// block is how many samples are fed at once, as a live walk would.
const block = 512

// Hear runs the sound detector over a whole recording.
func Hear(samples []float32, rate float64) (Heard, error) {
	d, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	if err != nil {
		return Heard{}, err
	}
	var h Heard
	var events []detect.Event
	for len(samples) > 0 {
		n := min(block, len(samples))
		events = d.Feed(events[:0], samples[:n])
		h.add(events)
		samples = samples[n:]
	}
	h.add(d.Flush(events[:0]))
	return h, nil
}

func (h *Heard) add(events []detect.Event) {
	for _, e := range events {
		switch {
		case e.Kind == detect.KindStep:
			h.Times = append(h.Times, e.Step.T)
			h.Sides = append(h.Sides, uint8(e.Step.Side))
			if e.Step.Heard {
				h.Heard++
			}
		case e.Kind == detect.KindRhythm && e.Rhythm.State == detect.Walking:
			h.Readings = append(h.Readings, score.Reading{T: e.Rhythm.T, Cadence: e.Rhythm.Cadence, SD: e.Rhythm.CadenceSD})
		}
	}
}
