package main

import (
	"math"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/detect/made"
)

// TestHear: a walker below the target is found and asked to quicken; of the coach's
// words only those about the walker come; samples that were lost are no end.
func TestHear(t *testing.T) {
	w := made.Spec{Seed: 5, Duration: 40, Gait: made.Gait{Cadence: made.Steady(180), JitterCV: 1.5}}.Walk()
	l, err := newSound(w.Rate)
	if err != nil {
		t.Fatal(err)
	}
	if err := l.guide.aim(goal{cadence: 192, low: 188, high: 196}); err != nil {
		t.Fatal(err)
	}
	var steps, quicken int
	played := make([]float32, 1024)
	for i := 0; i+1024 <= len(w.Samples); i += 1024 {
		if i/1024%500 == 400 {
			continue // lost
		}
		for _, e := range l.hear(int64(i), w.Samples[i:i+1024], played) {
			switch e := e.(type) {
			case event.Step:
				steps++
			case event.Cue:
				if !own[e.Name] {
					t.Errorf("the walker is told %q", e.Name)
				}
				if e.Name == event.CueQuicken {
					quicken++
				}
			}
		}
	}
	if n := len(w.Steps); steps < n-6 || steps > n || quicken == 0 {
		t.Errorf("%d steps of %d, told to quicken %d times", steps, n, quicken)
	}
	if again := l.hear(0, w.Samples[:1024], played); again != nil {
		t.Errorf("samples that came before gave %v", again)
	}
}

// TestFeel: rows of an accelerometer, one of them no number.
func TestFeel(t *testing.T) {
	m := made.MotionSpec{Seed: 2, Duration: 20, Gait: made.Gait{Cadence: made.Steady(186)}}.Motion()
	l, err := newMotion()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for i, r := range m.Rows {
		if i == 300 {
			l.feel(r.T, math.NaN(), 0, 0)
		}
		for _, e := range l.feel(r.T, r.X, r.Y, r.Z) {
			if e.Kind() == "step" {
				n++
			}
		}
	}
	if n < len(m.Steps)*9/10 || n > len(m.Steps) {
		t.Errorf("%d steps of %d", n, len(m.Steps))
	}
	if l.leak() != 0 || new(listener).hear(0, nil, nil) != nil || new(listener).feel(0, 0, 0, 0) != nil {
		t.Error("a listener hears what it cannot")
	}
}

// TestAim: the coach lives through every change of the target, goes by the band that
// it comes with, and is silent about the cadence where the walker is free.
func TestAim(t *testing.T) {
	var g guide
	if err := g.aim(goal{cadence: 190, low: 186, high: 194}); err != nil {
		t.Fatal(err)
	}
	first := g.coach
	if err := g.aim(goal{cadence: 193, low: 189, high: 197}); err != nil || g.coach != first || g.coach.Status().Target != 193 {
		t.Errorf("a moved target: %v, %+v", err, g.coach.Status())
	}
	walked := 0.0
	said := func(seconds float64) (names []string) {
		for end := walked + seconds; walked < end; walked += 0.5 {
			r := event.Rhythm{Rhythm: detect.Rhythm{T: walked, State: detect.Walking, Cadence: 191, CadenceSD: 0.3, Heard: 1}}
			for _, e := range g.take(nil, r) {
				names = append(names, e.(event.Cue).Name)
			}
		}
		return names
	}
	if n := said(60); len(n) > 0 {
		t.Errorf("in the band: %q", n)
	}
	if err := g.aim(goal{cadence: 193, low: 192, high: 197, beat: true}); err != nil || g.coach != first {
		t.Errorf("another band: %v, %+v", err, g.coach.Status())
	}
	if n := said(40); len(n) == 0 || n[0] != event.CueQuicken || !g.coach.Status().Beat {
		t.Errorf("below the band: %q, a beat: %v", n, g.coach.Status().Beat)
	}
	if err := g.aim(goal{}); err != nil || g.coach != first {
		t.Errorf("free: %v", err)
	}
	if n := said(200); len(n) > 0 {
		t.Errorf("free: %q", n)
	}
	if err := g.aim(goal{cadence: 210, low: 206, high: 214}); err != nil {
		t.Error(err)
	}
	if n := said(40); len(n) == 0 || n[0] != event.CueQuicken {
		t.Errorf("with a target again: %q", n)
	}
	if err := g.aim(goal{cadence: 500, low: 490, high: 510}); err == nil {
		t.Error("a target of 500 is taken")
	}
}
