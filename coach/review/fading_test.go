package review

import (
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/coach/fade"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// lapWalk walks laps of 400 m with marks, from cadence and step length by lap.
func lapWalk(laps int, at func(lap int) (cadence, length float64)) []event.Event {
	events := []event.Event{event.Mark{Name: event.MarkStart}}
	now, rhythm := 0.5, 0.5
	step := func(cadence float64) {
		events = append(events, event.Step{Step: detect.Step{T: now, Heard: true}})
		for ; rhythm <= now; rhythm += 0.5 {
			events = append(events, event.Rhythm{Rhythm: detect.Rhythm{T: rhythm, State: detect.Walking, Cadence: cadence, Heard: 1}})
		}
	}
	c, _ := at(0)
	step(c)
	events = append(events, event.Mark{T: now, Name: event.MarkLap})
	for lap := range laps {
		cadence, length := at(lap)
		begin := now
		for ; now < begin+400/length/cadence*60-1e-9; step(cadence) {
			now += 60 / cadence
		}
		events = append(events, event.Mark{T: now, Name: event.MarkLap}, event.Lap{T: now, Distance: 400, Time: now - begin, StepLength: length})
	}
	now += 0.2
	step(c)
	return events
}

// TestFadeOfLaps: a step that shortens by 3 % at an even cadence, and then a
// cadence that slows by 2 %: the report must name step length first.
func TestFadeOfLaps(t *testing.T) {
	events := lapWalk(25, func(lap int) (float64, float64) {
		l, c := 1.1, 195.0
		if lap > 8 {
			l *= 1 - 0.03*float64(lap-8)/17
		}
		if lap > 18 {
			c *= 1 - 0.02*float64(lap-18)/7
		}
		return c, l
	})
	s := Analyse(logbook.Header{}, events)
	if len(s.Fade) != 1 || s.Fade[0].Scope != "laps" || s.Fade[0].First != fade.LengthFirst {
		t.Fatalf("%+v", s.Fade)
	}
	var b strings.Builder
	printFade(&b, s.Fade)
	for _, want := range []string{"laps: Step length fell by", "Length went first.", "For comparison"} {
		if !strings.Contains(strings.Join(strings.Fields(b.String()), " "), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}

// TestFadeOfWalk: without marks the cadence alone, and an even walk shows none.
func TestFadeOfWalk(t *testing.T) {
	even := lapWalk(10, func(int) (float64, float64) { return 190, 1.05 })
	var free []event.Event
	for _, e := range even {
		switch e.(type) {
		case event.Lap, event.Mark:
		default:
			free = append(free, e)
		}
	}
	s := Analyse(logbook.Header{}, free)
	if len(s.Fade) != 1 || s.Fade[0].Scope != "the walk" || s.Fade[0].First != fade.Neither || s.Fade[0].LengthKnown {
		t.Fatalf("%+v", s.Fade)
	}
	var b strings.Builder
	printFade(&b, s.Fade)
	if !strings.Contains(b.String(), "no lasting fall") {
		t.Error(b.String())
	}
}

// TestFadeOfReps: a long rep of a plan on its own, and not the rests between.
func TestFadeOfReps(t *testing.T) {
	events := lapWalk(10, func(lap int) (float64, float64) { return 195 * (1 - 0.004*float64(lap)), 1.1 })
	plan := []event.Event{event.Part{T: 0, N: 1, Role: event.RoleRep, Set: 1, Rep: 1, Of: 1}}
	for _, e := range events {
		if _, ok := e.(event.Lap); !ok {
			plan = append(plan, e)
		}
	}
	s := Analyse(logbook.Header{}, plan)
	if len(s.Fade) != 1 || s.Fade[0].Scope != "rep 1 of set 1" || s.Fade[0].First != fade.CadenceFirst {
		t.Fatalf("%+v", s.Fade)
	}
}
