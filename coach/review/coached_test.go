package review

import (
	"encoding/json"
	"math"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// coached walks a session with the coach itself: at 190 steps/min with steps of 1.05
// m, and a press of the lap key at every distance in marks, in m. In a pause after
// so many metres, 0 for none, nobody walks for 20 s.
func coached(t *testing.T, set coach.Settings, far float64, marks []float64, pause float64) (logbook.Header, []event.Event) {
	t.Helper()
	c, err := coach.New(set)
	if err != nil {
		t.Fatal(err)
	}
	var all []event.Event
	give := func(e event.Event) { all = c.Handle(append(all, e), e) }
	const cadence, length = 190.0, 1.05
	now, tick, side, way, beyond := 0.3, 0.5, detect.Left, 0.0, 0.0
	for ; beyond < now; beyond += 0.5 {
	}
	give(event.Mark{T: now, Name: event.MarkStart})
	ticks := func(to float64, r detect.Rhythm) {
		for ; tick <= to; tick += 0.5 {
			r.T = tick
			give(event.Rhythm{Rhythm: r, Pace: c.Pace(r.Cadence)})
		}
	}
	for way < far {
		next := now + 60/cadence
		for len(marks) > 0 && marks[0] <= way+length {
			at := now + (marks[0]-way)/length*60/cadence
			ticks(at, detect.Rhythm{State: detect.Walking, Cadence: cadence, Heard: 1})
			give(event.Mark{T: at, Name: event.MarkLap})
			marks = marks[1:]
		}
		ticks(next, detect.Rhythm{State: detect.Walking, Cadence: cadence, Heard: 1})
		now, way = next, way+length
		give(event.Step{Step: detect.Step{T: now, Side: side, Heard: true, Confidence: 1}})
		side = side.Other()
		if pause > 0 && way > pause {
			give(event.Mark{T: now + 0.01, Name: event.MarkPause})
			ticks(now+20, detect.Rhythm{})
			now, pause = now+20, 0
			give(event.Mark{T: now, Name: event.MarkResume})
		}
	}
	give(event.Mark{T: now + 0.1, Name: event.MarkEnd})
	settings, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	return logbook.Header{Settings: settings}, all
}

func coachedSettings() coach.Settings {
	return coach.Settings{Cadence: 190, Slow: 4, Quick: 4, StepLength: profiles.Constant(1.02), Beat: coach.BeatChoice{On: true}, Policy: coach.DefaultPolicy()}
}

// TestCoachedLaps: laps as the coach tells them are measured by their marks, with a
// start that is not at 0, a pause, and a key that was pressed twice.
func TestCoachedLaps(t *testing.T) {
	set := coachedSettings()
	set.Lap = 400
	h, events := coached(t, set, 1660, []float64{400, 404, 800, 1200, 1600}, 870)
	r := NewReport(h, testInfo(), events)
	measured := 0
	for _, row := range r.Rows {
		if row.Length.Value == 0 {
			continue
		}
		measured++
		if row.Distance != 400 || !row.Measured || about(row.Length.Value, 1.05, 0.004) != nil || about(row.At, 190, 0.5) != nil {
			t.Errorf("%+v", row)
		}
	}
	if r.By != ByLap || measured != 3 || len(r.lapTimes) != 4 { // that with the pause is no measure
		t.Errorf("%d of %d rows by %v are measured, %d laps: %+v", measured, len(r.Rows), r.By, len(r.lapTimes), r.Rows)
	}
	if r.Met == nil {
		t.Error("no beat")
	}
}

// TestCoachedPlain: where a mark stands for no distance, the coach's estimate is none
// either.
func TestCoachedPlain(t *testing.T) {
	h, events := coached(t, coachedSettings(), 900, []float64{400, 800}, 0)
	r := NewReport(h, testInfo(), events)
	if r.By != ByLap || len(r.Rows) != 3 || r.lengths() || r.planeFigure() != nil {
		t.Errorf("by %v: %+v", r.By, r.Rows)
	}
	if d := NewDigest(h, events); len(d.Laps) != 0 {
		t.Errorf("%d laps in the digest", len(d.Laps))
	}
}

// TestCoachedReps: reps that end at the line are measured, recoveries are not.
func TestCoachedReps(t *testing.T) {
	set := coachedSettings()
	plan := profiles.Plan{Name: "fours", Lap: 400}
	for rep := 1; rep <= 3; rep++ {
		plan.Parts = append(plan.Parts,
			profiles.PlanPart{Role: profiles.PlanRep, Set: 1, Rep: rep, Of: 3, Length: 400, Targets: []profiles.PlanPoint{{Target: profiles.PlanTarget{Cadence: 190}}}},
			profiles.PlanPart{Role: profiles.PlanRecovery, Set: 1, Rep: rep, Of: 3, Length: 400})
	}
	set.Plan = &plan
	h, events := coached(t, set, 2500, []float64{400, 800, 1200, 1600, 2000, 2400}, 0)
	r := NewReport(h, testInfo(), events)
	measured := 0
	for _, row := range r.Rows {
		if row.Role == event.RoleRep && row.Measured && row.Distance == 400 && math.Abs(row.Length.Value-1.05) < 0.004 {
			measured++
		}
	}
	if r.By != ByPart || measured != 3 {
		t.Errorf("%d reps are measured: %+v", measured, r.Rows)
	}
	if d := NewDigest(h, events); len(d.Laps) != 3 {
		t.Errorf("%d laps in the digest, want those of the reps", len(d.Laps))
	}
}
