package sim

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
)

// sound makes the steps of a session audible, with some noise.
func sound(r *Result, snr float64) made.Walk {
	times := make([]float64, len(r.Steps))
	for i, s := range r.Steps {
		times[i] = s.T
	}
	cadence := func(t float64) float64 {
		i, _ := slices.BinarySearch(times, t-1e-6)
		if i+1 >= len(times) {
			return 60 / r.Duration
		}
		return 60 / (times[i+1] - times[i])
	}
	return made.Spec{
		Seed: 1, Duration: r.Duration, Rate: 8000,
		Gait:   made.Gait{Cadence: cadence, Start: times[0]},
		Noises: []made.Noise{{Kind: made.Pink, SNR: snr}},
	}.Walk()
}

// hear runs the real detector over a walk and gives a new coach what it says.
func hear(t *testing.T, w made.Walk, s coach.Settings) (rhythms map[float64]detect.Rhythm, cues []event.Cue) {
	t.Helper()
	d, err := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	c, err := coach.New(s)
	if err != nil {
		t.Fatal(err)
	}
	rhythms = make(map[float64]detect.Rhythm)
	answers := c.Handle(nil, event.Mark{Name: event.MarkStart})
	for _, e := range d.Flush(d.Feed(nil, w.Samples)) {
		if e.Kind == detect.KindRhythm {
			rhythms[e.Rhythm.T] = e.Rhythm
		}
		answers = c.Handle(answers, event.From(e))
	}
	for _, a := range answers {
		if cue, ok := a.(event.Cue); ok {
			cues = append(cues, cue)
		}
	}
	return rhythms, cues
}

// The ear that stands in for the detector says what the real one says of the
// same steps, and the coach answers both alike. A minute and a half of two
// walkers, who hear words and no beat, is made audible with noise 6 dB below the
// steps. The words may come a tick or two apart and not all of them twice: a
// cadence close to an end of the band is judged by tenths of a step a minute.
func TestEarIsLikeTheDetector(t *testing.T) {
	var differ, sdEar, sdReal []float64
	var said, heard, alike int
	for i, w := range Population(31, 2) {
		r, settings := session(t, w, coach.BeatChoice{}, Coaching{Words: true, Keep: true}, 90)
		real, cues := hear(t, sound(r, 6), settings)
		late := 0
		for _, e := range r.Events {
			ear, ok := e.(event.Rhythm)
			if !ok || ear.T < 6 {
				continue
			}
			if d := real[ear.T]; d.State == ear.State && d.Cadence > 0 {
				differ = append(differ, math.Abs(d.Cadence-ear.Cadence))
				sdEar, sdReal = append(sdEar, ear.CadenceSD), append(sdReal, d.CadenceSD)
			} else {
				late++
			}
		}
		if late > 0 {
			t.Errorf("walker %d: at %d ticks only one of the two says walking", i, late)
		}
		for _, want := range r.Cues {
			said++
			if slices.ContainsFunc(cues, func(c event.Cue) bool { return c.Name == want.Name && math.Abs(c.T-want.T) <= 2 }) {
				alike++
			}
		}
		heard += len(cues)
	}
	slices.Sort(differ)
	mid, high := differ[len(differ)/2], differ[len(differ)*95/100]
	sd := [2]float64{stat.Mean(sdEar, nil), stat.Mean(sdReal, nil)}
	t.Logf("cadence differs by %.2f steps/min in the middle, %.2f in 95 %%; its standard error %.2f and %.2f; %d cues by the ear, %d by the detector, %d alike", mid, high, sd[0], sd[1], said, heard, alike)
	if mid > 0.3 || high > 1 {
		t.Errorf("cadence differs by %.2f steps/min in the middle and %.2f in 95 %% of the ticks, want 0.3 and 1", mid, high)
	}
	if sd[0] < 0.8*sd[1] || sd[0] > 2*sd[1] {
		t.Errorf("standard error of the cadence %.2f steps/min, the detector's %.2f", sd[0], sd[1])
	}
	if said < 4 || alike*10 < said*7 || alike*10 < heard*7 {
		t.Errorf("%d cues by the ear, %d by the detector, %d of them within 2 s of each other", said, heard, alike)
	}
}
