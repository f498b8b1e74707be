package detect_test

import (
	"math"
	"testing"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// edgesOf are cadences from lo to hi, one step/min apart.
func edgesOf(lo, hi float64) []float64 {
	var e []float64
	for c := lo; c <= hi; c++ {
		e = append(e, c)
	}
	return e
}

// What the filter believes of a walk: the evidence is greatest at the steps, and
// the cadence is where it is. The events are those without a look.
func TestSoundInside(t *testing.T) {
	w := made.Spec{Seed: 1, Duration: 15, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1, Start: 3}}.Walk()
	watched, _ := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	plain, _ := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	edges := edgesOf(80, 260)
	var frames, near, high int
	var last float64
	watched.Watch(func(i detect.Inside) {
		frames++
		if i.T <= last || i.Evidence < 0 || i.Walking < 0 || i.Walking > 1 {
			t.Fatalf("%+v after a frame at %v s", i, last)
		}
		last = i.T
		if i.T < 2 && i.Walking > 0.5 {
			t.Errorf("%.2f s: walking is believed by %.2f before the first step", i.T, i.Walking)
		}
		if i.Evidence > 4 {
			high++
			if nearest(w.Times(), i.T) < 0.05 {
				near++
			}
		}
		if frames%200 == 0 {
			believe(t, i, edges, i.T > 7, 190)
		}
	})
	got, want := watched.Feed(nil, w.Samples), plain.Feed(nil, w.Samples)
	if len(got) != len(want) || got[len(got)-1] != want[len(want)-1] {
		t.Errorf("%d events when watched, %d when not", len(got), len(want))
	}
	if frames < 2900 || frames > 3001 {
		t.Errorf("%d frames in 15 s, want about 200 a second", frames)
	}
	if high < 30 || near < high*9/10 {
		t.Errorf("evidence is high in %d frames, of which %d are near a step", high, near)
	}
	watched.Watch(nil)
	before := frames
	watched.Feed(nil, w.Samples)
	if frames != before {
		t.Error("looked at after the end of watching")
	}
}

// believe checks the belief about the cadence of one frame.
func believe(t *testing.T, i detect.Inside, edges []float64, follows bool, cadence float64) {
	t.Helper()
	belief := make([]float64, len(edges)-1)
	i.Cadences(belief, edges)
	var sum, mean float64
	for k, p := range belief {
		sum += p
		mean += p * (edges[k] + 0.5)
	}
	if math.Abs(sum-i.Walking) > 0.02 {
		t.Errorf("%.2f s: beliefs sum to %.3f, walking is %.3f", i.T, sum, i.Walking)
	}
	if follows && (i.State != detect.Walking || math.Abs(mean/sum-cadence) > 5) {
		t.Errorf("%.2f s: %v, mean cadence believed %.1f, want %g", i.T, i.State, mean/sum, cadence)
	}
}

func nearest(times []float64, at float64) float64 {
	d := math.Inf(1)
	for _, t := range times {
		d = min(d, math.Abs(t-at))
	}
	return d
}

func TestMotionInside(t *testing.T) {
	m := made.MotionSpec{Seed: 1, Duration: 30, Gait: made.Gait{Cadence: made.Steady(118), JitterCV: 1, Start: 3}}.Motion()
	d, _ := detect.NewMotion(detect.MotionConfig{})
	edges := edgesOf(60, 270)
	frames := 0
	d.Watch(func(i detect.Inside) {
		if frames++; frames%50 == 0 && i.State == detect.Walking {
			believe(t, i, edges, true, 118)
		}
	})
	var events []detect.Event
	for _, r := range m.Rows {
		events, _ = d.Feed(events[:0], r.T, r.X, r.Y, r.Z)
	}
	if frames < 1450 || frames > 1501 {
		t.Errorf("%d frames in 30 s, want 50 a second", frames)
	}
}

// Looking costs no memory.
func TestInsideAllocates(t *testing.T) {
	w := made.Spec{Seed: 1, Duration: 5, Gait: made.Gait{Cadence: made.Steady(190)}}.Walk()
	d, _ := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	edges := edgesOf(80, 260)
	belief := make([]float64, len(edges)-1)
	d.Watch(func(i detect.Inside) {
		clear(belief)
		i.Cadences(belief, edges)
	})
	events := make([]detect.Event, 0, 256)
	if n := testing.AllocsPerRun(5, func() { events = d.Feed(events[:0], w.Samples[:4800]) }); n != 0 {
		t.Errorf("%v allocations in 0.1 s of looking, want none", n)
	}
}
