package coach

import (
	"encoding/json"
	"io/fs"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/profiles"
	"steadfoot/profiles/examples/sessions"
)

// TestExampleSessions: each one passes the check without a note for a walker
// whose step length is known, can be walked to its end, and takes as long and as
// many steps as was worked out.
func TestExampleSessions(t *testing.T) {
	curve := profiles.Curve{{Cadence: 140, Length: 0.90}, {Cadence: 180, Length: 1.02}, {Cadence: 204, Length: 1.10}}
	for _, name := range sessions.Names() {
		t.Run(name, func(t *testing.T) {
			data, err := fs.ReadFile(sessions.Files, name+".toml")
			if err != nil {
				t.Fatal(err)
			}
			plan, err := profiles.ParsePlan(name, data)
			if err != nil {
				t.Fatal(err)
			}
			if notes := PlanNotes(plan, curve); len(notes) > 0 {
				t.Error(notes)
			}
			set := withPlan(plan, curve)
			var again Settings
			if err := set.Validate(); err != nil {
				t.Error(err)
			}
			if text, err := json.Marshal(set); err != nil {
				t.Error(err)
			} else if err := json.Unmarshal(text, &again); err != nil || !reflect.DeepEqual(set, again) {
				t.Errorf("the settings do not come back from the log's header: %v\n%s", err, text)
			}
			const free = 150.0
			splits, sum := PlanSplits(plan, curve, free)
			if sum.NoTime+sum.NoLength+sum.NoSteps > 0 || len(splits) != len(plan.Parts) {
				t.Errorf("%+v", sum)
			}
			w := newStrider(withPlan(plan, curve), 0, 0)
			waited := 0.0
			for w.c.at < len(plan.Parts) && w.now < 20_000 {
				w.cadence = free
				if g := w.c.goal(); g.cadence > 0 {
					w.cadence = g.cadence
				}
				w.length = curve.Length(w.cadence)
				if w.c.part().Ready && math.IsInf(w.c.ends, 1) {
					w.mark(event.MarkSkip)
					waited += countdown + w.c.set.Policy.Lead
				}
				w.tick()
			}
			end := told[event.Part](w)[len(told[event.Part](w))-1]
			if got := end.T - waited; end.N != 0 || math.Abs(got-sum.Time) > 0.005*sum.Time {
				t.Errorf("walked in %.1f s, worked out %.1f s: %+v", got, sum.Time, end)
			}
			way := waited * free / 60 * curve.Length(free)
			if math.Abs(end.Distance-way-sum.Length) > 0.005*sum.Length {
				t.Errorf("walked %.1f m, worked out %.1f m", end.Distance-way, sum.Length)
			}
			if steps := w.c.odo.sum.steps - waited*free/60; math.Abs(steps-sum.Steps) > 0.005*sum.Steps {
				t.Errorf("walked in %.0f steps, worked out %.0f", steps, sum.Steps)
			}
		})
	}
}

// TestPlanSplits: 20 km in 1:20:00 is 4:00 a km, 96.0 s a lap, and takes 208.33
// steps/min at 1.20 m: 16,667 steps in all (computed from pace · cadence · length
// = 60,000; the lengths are a rule of thumb of the trade).
func TestPlanSplits(t *testing.T) {
	plan := planOf(t, `name = "a"
lap = "400 m"
race = { distance = "20 km", time = "1:20:00" }
[[set]]
[[set.rep]]
for = "20 km"
target = "100 % of race pace"`)
	splits, sum := PlanSplits(plan, profiles.Constant(1.2), 0)
	s := splits[0]
	if s.Time != 4800 || math.Abs(s.LapTime-96) > 1e-9 || math.Abs(s.Cadence[0]-208.333) > 0.001 || math.Round(s.Steps) != 16667 || s.Pace[1] != 240 || math.Abs(s.LapSteps-333.333) > 0.001 {
		t.Errorf("%+v", s)
	}
	if sum.Time != 4800 || sum.Length != 20000 || sum.WorkLength != 20000 {
		t.Errorf("%+v", sum)
	}
}

// TestPlanSplitsOfRecord: 5 km at the paces of Yang Jiayu's 20 km in 1:23:49
// (cumulative 20:55, 41:52, 1:02:44 by worldathletics.org) are 1255, 1257, 1252
// and 1265 s, and the whole as long as the race.
func TestPlanSplitsOfRecord(t *testing.T) {
	var text strings.Builder
	text.WriteString("name = \"a\"\n[[set]]\n")
	for _, pace := range []string{"4:11", "4:11.4", "4:10.4", "4:13"} {
		text.WriteString("[[set.rep]]\nfor = \"5 km\"\ntarget = \"" + pace + " /km\"\n")
	}
	splits, sum := PlanSplits(planOf(t, text.String()), nil, 0)
	for i, want := range []float64{1255, 1257, 1252, 1265} {
		if math.Abs(splits[i].Time-want) > 1e-6 {
			t.Errorf("split %d: %g s, want %g", i, splits[i].Time, want)
		}
	}
	if math.Abs(sum.Time-(83*60+49)) > 1e-6 || sum.NoSteps != 4 {
		t.Errorf("%+v", sum)
	}
}

// TestPlanRamp: a ramp by distance takes the time of the mean slowness, by time
// the way of the mean speed.
func TestPlanRamp(t *testing.T) {
	plan := planOf(t, `name = "a"
[[set]]
[[set.rep]]
for = "1 km"
target = "180 steps/min"
to = "200 steps/min"
[[set.rep]]
for = "10:00"
target = "180 steps/min"
to = "200 steps/min"
[[set.rep]]
for = "10:00"
[cool_down]
for = "ready"`)
	splits, sum := PlanSplits(plan, profiles.Constant(1), 0)
	// ∫ 60/(180 + 20 x/1000) dx from 0 to 1000 is 3000 ln(200/180).
	if want := 3000 * math.Log(200.0/180); math.Abs(splits[0].Time-want) > 0.001 || math.Abs(splits[0].Steps-1000) > 0.001 {
		t.Errorf("%+v, want %g s", splits[0], want)
	}
	if math.Abs(splits[1].Length-1900) > 0.001 || math.Abs(splits[1].Steps-1900) > 0.001 {
		t.Errorf("%+v", splits[1])
	}
	if sum.NoTime != 0 || sum.NoLength != 1 || sum.NoSteps != 1 || sum.Ready != 1 {
		t.Errorf("%+v", sum)
	}
}

// TestPlanNotes: what stands against a plan is said.
func TestPlanNotes(t *testing.T) {
	plan := planOf(t, `name = "a"
lane = 1
[[set]]
[[set.rep]]
for = "1 km"
target = "4:00 /km"
remind = [ { say = "arms", at = "100 m" } ]`)
	if notes := PlanNotes(plan, nil); len(notes) != 3 || !strings.Contains(notes[0], "end by a lap mark or the skip key") {
		t.Error(notes)
	}
	if notes := PlanNotes(plan, profiles.Constant(0.8)); len(notes) != 1 || notes[0] != "part 1: 4:00 /km needs 312 steps/min at this step length; only 90 to 240 are followed" {
		t.Error(notes)
	}
	if notes := PlanNotes(plan, profiles.Constant(1.2)); len(notes) != 0 {
		t.Error(notes)
	}
}

// TestPlanSum: every part starts where the ones before have ended, and the totals
// are their sum.
func TestPlanSum(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for range 50 {
		plan := randomPlan(r)
		splits, sum := PlanSplits(plan, profiles.Constant(1.1), 150)
		var time, way, steps float64
		for i, s := range splits {
			if math.Abs(s.Start-time) > 1e-9*time || math.Abs(s.At-way) > 1e-9*way || s.N != i+1 {
				t.Errorf("part %d starts at %g s, %g m; want %g, %g", s.N, s.Start, s.At, time, way)
			}
			if p := plan.Parts[i]; p.Length > 0 && s.Length != p.Length || p.Duration > 0 && s.Time != p.Duration {
				t.Errorf("%+v", s)
			}
			if math.Abs(s.Length-1.1*s.Steps) > 1e-9*s.Length {
				t.Errorf("%g steps in %g m", s.Steps, s.Length)
			}
			time, way, steps = time+s.Time, way+s.Length, steps+s.Steps
		}
		if sum.Time != time || sum.Length != way || sum.Steps != steps || sum.NoTime+sum.NoLength+sum.NoSteps != 0 {
			t.Errorf("%+v, want %g s, %g m, %g steps", sum, time, way, steps)
		}
	}
}
