package review

import (
	"encoding/json"
	"fmt"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// testHeader is of a walk with a target of 192, band 188 to 194 and a step
// length of 1.05 m.
func testHeader() logbook.Header {
	set, err := json.Marshal(coach.Settings{Athlete: "Mira Tal", Cadence: 192, Slow: 4, Quick: 2,
		StepLength: profiles.Constant(1.05), Policy: coach.DefaultPolicy()})
	if err != nil {
		panic(err)
	}
	return logbook.Header{Started: time.Date(2026, 5, 3, 7, 30, 0, 0, time.UTC), Athlete: "Mira Tal",
		Label: "Harrow Vale, easy 5", Settings: set, Input: "walk.wav", Output: "none", Version: "test"}
}

func testInfo() logbook.Info {
	return logbook.Info{ID: 12, Started: testHeader().Started, Athlete: "Mira Tal", Label: "Harrow Vale, easy 5",
		Duration: 180, Steps: 570, Heard: 560, Events: 950, Complete: true}
}

// leg is a stretch of a made walk.
type leg struct {
	length  float64 // s
	cadence float64 // steps/min; 0 stands still
}

// made returns the events of a walk of legs, all steps heard, with its rhythm
// every half second: the pace is that of 1.05 m.
func made(legs ...leg) []event.Event {
	events := []event.Event{event.Mark{Name: event.MarkStart}}
	begin, ticks, side := 0.0, 1, detect.Left
	for _, l := range legs {
		end := begin + l.length
		if l.cadence == 0 {
			events = append(events, event.Gap{Gap: detect.Gap{T: begin, Length: l.length, Reason: detect.GapStopped}})
		}
		for k := 0; ; k++ {
			t := end
			if l.cadence > 0 {
				t = begin + (float64(k)+0.5)*60/l.cadence
			}
			for ; float64(ticks)*0.5 <= min(t, end); ticks++ {
				r := detect.Rhythm{T: float64(ticks) * 0.5, Heard: 1}
				if l.cadence > 0 {
					r.State, r.Cadence, r.CadenceSD = detect.Walking, l.cadence, 0.3
				}
				events = append(events, event.Rhythm{Rhythm: r, Pace: coach.PaceOf(l.cadence, 1.05)})
			}
			if t >= end {
				break
			}
			events = append(events, event.Step{Step: detect.Step{T: t, Side: side, Confidence: 0.95, Heard: true}})
			side = side.Other()
		}
		begin = end
	}
	return append(events, event.Mark{T: begin, Name: event.MarkEnd})
}

// longWalk starts too slow, is brought up, drifts, stops and comes back.
func longWalk() []event.Event {
	events := made(leg{40, 184}, leg{60, 191}, leg{30, 196}, leg{15, 0}, leg{35, 190})
	return append(events,
		event.Cue{T: 0.2, Name: event.CueStart, Reason: "start mark"},
		event.Cue{T: 12.2, Name: event.CueQuicken, Reason: "184.0 steps/min, out for 8.0 s, band 188.0 to 194.0, told 2 times without settling"},
		event.Cue{T: 50.2, Name: event.CueSettled, Reason: "191.0 steps/min, within 189.0 to 193.0 for 8.0 s"},
		event.Cue{T: 110.2, Name: event.CueEase, Reason: "196.0 steps/min, out for 8.0 s, band 188.0 to 194.0"},
		event.Mark{T: 90, Name: event.MarkLap, Note: "far bend"},
		event.Mark{T: 140, Name: event.MarkLap},
		event.Fault{T: 140, What: "the microphone vanished for 1.2 s"})
}

// stepsOf places steps of alternating feet, all heard, after these intervals.
func stepsOf(lengths []float64) []detect.Step {
	t, side := 1.0, detect.Left
	steps := []detect.Step{{T: t, Side: side, Heard: true}}
	for _, l := range lengths {
		t += l
		side = side.Other()
		steps = append(steps, detect.Step{T: t, Side: side, Heard: true})
	}
	return steps
}

func about(got, want, within float64) error {
	if d := got - want; !(d <= within && d >= -within) {
		return fmt.Errorf("got %v, want %v ± %v", got, want, within)
	}
	return nil
}
