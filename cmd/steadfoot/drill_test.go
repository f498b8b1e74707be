package main

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// drillWalker walks a session of reps on a track: a rep when one has begun, with
// steps by its label, a lap mark at the line, a rest, and the key for the next.
type drillWalker struct {
	t      *testing.T
	coach  *coach.Coach
	log    *logbook.Writer
	r      *rand.Rand
	now    float64
	next   float64 // when the next step falls, s
	tick   float64
	length map[string]float64 // step length by label, m
}

func (w *drillWalker) take(e event.Event) {
	if r, ok := e.(event.Rhythm); ok {
		r.Pace, r.Distance = w.coach.Pace(r.Cadence), w.coach.Distance()
		e = r
	}
	for _, x := range append([]event.Event{e}, w.coach.Handle(nil, e)...) {
		if err := w.log.Append(x); err != nil {
			w.t.Fatal(err)
		}
	}
}

// pass lets time go by, with the steps of a cadence in it; 0 is standing.
func (w *drillWalker) pass(seconds, cadence float64) {
	for end := w.now + seconds; w.now < end-1e-9; {
		to := min(end, w.tick)
		for ; cadence > 0 && w.next <= to; w.next += 60 / cadence {
			w.take(event.Step{Step: detect.Step{T: w.next, Heard: true, Confidence: 1, Side: detect.Left}})
		}
		w.now = to
		if w.now < w.tick {
			continue
		}
		w.tick += 0.5
		r := detect.Rhythm{T: w.now, Heard: 1}
		if cadence > 0 {
			r.State, r.Cadence, r.CadenceSD = detect.Walking, cadence, 0.3
		}
		w.take(event.Rhythm{Rhythm: r})
	}
}

// rep walks 400 m and marks the line.
func (w *drillWalker) rep(label string) {
	cadence := 190 * (1 + 0.003*w.r.NormFloat64())
	length := w.length[label] * (1 + 0.003*w.r.NormFloat64())
	w.next = w.now + 30/cadence
	w.pass(400/length/cadence*60, cadence)
	w.take(event.Mark{T: w.now, Name: event.MarkLap})
}

// TestDrillSession goes the whole way: the order that compare suggests is written
// as a session, walked with the coach and stored, and compared by its labels. A
// step that is 2 % longer must be found.
func TestDrillSession(t *testing.T) {
	dir := t.TempDir()
	file, store := filepath.Join(dir, "drill.toml"), filepath.Join(dir, "log.db")
	if _, errs, status := runIn(t, "compare", "--order", "normal,hips", "--reps", "6", "--session", file); status != 0 {
		t.Fatal(errs)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := profiles.ParsePlan(file, data)
	if err != nil {
		t.Fatal(err)
	}
	set := coach.Settings{Cadence: 190, Slow: 4, Quick: 4, Plan: plan, StepLength: profiles.Constant(1.05), Policy: coach.DefaultPolicy()}
	c, err := coach.New(set)
	if err != nil {
		t.Fatal(err)
	}
	settings, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	s, err := logbook.Open(store)
	if err != nil {
		t.Fatal(err)
	}
	log, err := s.Begin(logbook.Header{Started: time.Unix(1.7e9, 0), Settings: settings})
	if err != nil {
		t.Fatal(err)
	}
	w := &drillWalker{t: t, coach: c, log: log, r: rand.New(rand.NewPCG(8, 8)), tick: 0.5, length: map[string]float64{"normal": 1.05, "hips": 1.05 * 1.02}}
	w.take(event.Mark{Name: event.MarkStart})
	reps := 0
	for w.now < 7200 {
		switch p := c.Status().Part; {
		case p.N == 0:
			w.now = 1e9 // the plan is over
		case p.Role == event.RoleRecovery:
			w.pass(20, 0)
			w.take(event.Mark{T: w.now, Name: event.MarkSkip})
			for i := 0; i < 60 && c.Status().Part.N == p.N; i++ {
				w.pass(0.5, 0)
			}
		default:
			reps++
			w.rep(p.Label)
			for i := 0; i < 20 && c.Status().Part.N == p.N; i++ {
				w.pass(0.5, 0)
			}
			if c.Status().Part.N == p.N {
				t.Fatalf("rep %d does not end at the line", reps)
			}
		}
	}
	if reps != 12 {
		t.Fatalf("%d reps were walked, want 12", reps)
	}
	if err := log.End(); err != nil {
		t.Fatal(err)
	}
	s.Close()
	out, errs, status := runIn(t, "compare", "last:normal", "last:hips", "--store", store, "--json")
	if status != 0 {
		t.Fatal(errs)
	}
	var r resultJSON
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	if r.Reps != [2]int{6, 6} || math.Abs(r.LogLength.Value-math.Log(1.02)) > 0.008 || r.LogLength.Low <= 0 || r.LogCadence.Low > 0 || r.LogCadence.High < 0 {
		t.Errorf("%s", out)
	}
	if out, errs, status = runIn(t, "review", "last", "--replay", "--store", store); status != 0 {
		t.Errorf("%s%s", out, errs)
	}
}
