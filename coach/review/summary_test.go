package review

import (
	"math"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

func TestAnalyse(t *testing.T) {
	s := Analyse(testHeader(), longWalk())
	if s.Band == nil {
		t.Fatal("no band")
	}
	// 40 s at 184, 60 s at 191, 30 s at 196, 35 s at 190: 165 s walked.
	steps := 40*184/60. + 60*191/60. + 30*196/60. + 35*190/60.
	for _, c := range []struct {
		name              string
		got, want, within float64
	}{
		{"duration", s.Duration, 180, 0},
		{"walking", s.Walking, 165, 0.5},
		{"steps", float64(s.Steps), steps, 3},
		{"mean cadence", s.CadenceMean, (40*184 + 60*191 + 30*196 + 35*190) / 165., 0.05},
		{"median cadence", s.CadenceMedian, 191, 0},
		{"band low", s.Band.Low, 188, 0},
		{"band high", s.Band.High, 194, 0},
		{"in band", s.Band.In, 95 / 165., 0.005},
		{"below", s.Band.Below, 40 / 165., 0.005},
		{"above", s.Band.Above, 30 / 165., 0.005},
		{"distance", s.Distance, steps * 1.05, 3},
		{"pace", s.Pace, 165 / (steps * 1.05) * 1000, 2},
		{"cues", float64(len(s.Cues)), 4, 0},
		{"laps", float64(len(s.Laps)), 2, 0},
		{"time of lap 1", s.Laps[0].Length, 90, 0},
		{"cadence of lap 1", s.Laps[0].Cadence, (40*184 + 50*191) / 90., 0.05},
		{"time of lap 2", s.Laps[1].Length, 50, 0},
		{"cadence of lap 2", s.Laps[1].Cadence, (10*191 + 30*196) / 40., 0.05},
		{"pace of lap 2", s.Laps[1].Pace, coach.PaceOf((10*191+30*196)/40., 1.05), 0.1},
		{"gaps", float64(len(s.Gaps)), 1, 0},
		{"faults", float64(len(s.Faults)), 1, 0},
	} {
		if err := about(c.got, c.want, c.within); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if s.Heard+s.Bridged != s.Steps || s.Bridged != 0 {
		t.Errorf("%d heard and %d bridged of %d", s.Heard, s.Bridged, s.Steps)
	}
}

// TestLateNews has the order in which a detector tells a walk: it is sure of it
// 2.5 s after the first step, and of its end 1.2 s after the last one. Time
// walked, cadence, distance and pace must agree all the same.
func TestLateNews(t *testing.T) {
	rhythm := func(t float64, cadence float64) event.Event {
		r := event.Rhythm{Rhythm: detect.Rhythm{T: t, Cadence: cadence}, Pace: coach.PaceOf(cadence, 1.05)}
		if cadence > 0 {
			r.State = detect.Walking
		}
		return r
	}
	var events []event.Event
	steps := 0
	stepsTo := func(end float64) {
		for ; 3+float64(steps)/3 <= min(end, 40); steps++ {
			events = append(events, event.Step{Step: detect.Step{T: 3 + float64(steps)/3}})
		}
	}
	for i := 1; i <= 100; i++ {
		switch at := float64(i) / 2; {
		case at == 5.5:
			events = append(events, event.Gap{Gap: detect.Gap{T: 0, Length: 3}})
			fallthrough
		case at > 5.5 && at <= 41:
			stepsTo(at)
			events = append(events, rhythm(at, 180))
		default:
			events = append(events, rhythm(at, 0))
		}
	}
	events = append(events, event.Gap{Gap: detect.Gap{T: 40, Length: 10}}, event.Mark{T: 50, Name: event.MarkEnd})

	s := Analyse(testHeader(), events)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"steps", float64(s.Steps), 112},
		{"walking", s.Walking, 112 / 3.},
		{"cadence", s.CadenceMean, 180},
		{"below the band", s.Band.Below, 1},
		{"distance", s.Distance, 112 * 1.05},
		{"pace", s.Pace, coach.PaceOf(180, 1.05)},
	} {
		if err := about(c.got, c.want, 1e-9*c.want); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestElite checks speed = step length · cadence on the elite walkers measured
// at Cheboksary 2008 (Hanley, Bissas and Drake, "Kinematics of Elite Race
// Walking", slides): 20 km men 1.23 m, 201.0 steps/min, 14.80 km/h, within 1 %.
func TestElite(t *testing.T) {
	events := made(leg{600, 201})
	for i, e := range events {
		if r, ok := e.(event.Rhythm); ok {
			r.Pace = 60 * 1000 / (201 * 1.23)
			events[i] = r
		}
	}
	s := Analyse(logbook.Header{}, events)
	if err := about(s.Distance/s.Walking*3.6, 14.80, 0.148); err != nil {
		t.Errorf("speed in km/h: %v", err)
	}
	if *s.Unevenness > 1e-6 || *s.Variability > 1e-6 {
		t.Errorf("a machine's walk has %v %% unevenness and %v %% variability", *s.Unevenness, *s.Variability)
	}
}

func TestAnalyseLittle(t *testing.T) {
	for name, events := range map[string][]event.Event{
		"nothing":  nil,
		"one step": {event.Step{Step: detect.Step{T: 3, Heard: true}}},
		"no walking": {event.Rhythm{Rhythm: detect.Rhythm{T: 0.5, State: detect.NotWalking}},
			event.Rhythm{Rhythm: detect.Rhythm{T: 1, State: detect.CannotHear}}},
		"a hole": {event.Rhythm{Rhythm: detect.Rhythm{T: 0.5, State: detect.Walking, Cadence: 190}},
			event.Rhythm{Rhythm: detect.Rhythm{T: 100, State: detect.Walking, Cadence: 190}}},
	} {
		for _, h := range []logbook.Header{{}, testHeader(), {Settings: []byte(`{"cadence":"x"}`)}} {
			s := Analyse(h, events)
			if math.IsNaN(s.CadenceMean) || math.IsNaN(s.Pace) || s.Walking > 2 || s.Distance != 0 || s.Unevenness != nil || s.Variability != nil {
				t.Errorf("%s: %+v", name, s)
			}
		}
	}
}
