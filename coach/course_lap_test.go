package coach

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/profiles"
)

// TestCourseMarks: what lap marks do to the estimate. The walker's steps are
// shorter than the profile says; on the track of 400 m, a mark at each line.
func TestCourseMarks(t *testing.T) {
	for _, tt := range []struct {
		name   string
		curve  float64   // 0: not known
		length float64   // truly
		marks  []float64 // true distances of the key, m
		laps   []float64 // those that are told
		nearly float64   // how near the estimate comes to the truth after the last one
	}{
		{"short steps", 1.1, 1.05, []float64{400, 800, 1200}, []float64{400, 400, 400}, 0.003},
		{"double press", 1.1, 1.05, []float64{400, 403, 800, 810}, []float64{400, 400}, 0.005},
		{"missed mark", 1.1, 1.05, []float64{400, 1200, 1600}, []float64{400, 800, 400}, 0.005},
		{"two missed at once", 1.1, 1.05, []float64{1200, 1600}, []float64{1200, 400}, 0.005},
		{"begun somewhere else", 1.1, 1.05, []float64{150, 550, 950}, []float64{400, 400}, 0.005},
		{"begun a little before the line", 1.05, 1.05, []float64{80, 480, 880}, []float64{400, 400}, 0.005},
		{"key in the middle of a lap", 1.1, 1.05, []float64{400, 690, 800}, []float64{400, 400}, 0.005},
		{"not known", 0, 1.05, []float64{400, 800}, []float64{400, 400}, 0.005},
		{"not known, double press", 0, 1.05, []float64{4, 400, 404, 800}, []float64{400, 400}, 0.005},
		{"not known, begun somewhere else", 0, 1.05, []float64{120, 520, 920, 1320}, []float64{400, 400}, 0.005},
		{"not known, first mark missed", 0, 1.05, []float64{800, 1200}, []float64{800, 400}, 0.005},
		{"far off", 1.5, 1.05, []float64{400, 800, 1200}, []float64{400, 400}, 0.005},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var curve profiles.Curve
			if tt.curve > 0 {
				curve = profiles.Constant(tt.curve)
			}
			w := newStrider(withPlan(planOf(t, "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\nfor=\"30 min\""), curve), 190, tt.length)
			for _, d := range tt.marks {
				w.cross(d)
			}
			var got []float64
			for i, l := range told[event.Lap](w) {
				got = append(got, l.Distance)
				if i == 0 && tt.name == "not known, begun somewhere else" {
					continue // it cannot be known that this was no lap; the later ones mend it
				}
				if math.Abs(l.StepLength-tt.length) > 0.005*tt.length {
					t.Errorf("step length %.4f m, truly %g", l.StepLength, tt.length)
				}
				if speed := l.Distance / l.Time; math.Abs(speed-190.0/60*tt.length) > 0.02*speed {
					t.Errorf("lap of %g m in %g s", l.Distance, l.Time)
				}
			}
			if !reflect.DeepEqual(got, tt.laps) {
				t.Errorf("laps %v, want %v", got, tt.laps)
			}
			from, d := w.c.distance(), w.truly
			w.walk(w.now + 200)
			if f := (w.c.distance() - from) / (w.truly - d); math.Abs(f-1) > tt.nearly {
				t.Errorf("the estimate is %.4f of the way", f)
			}
			if tt.curve != 1.5 && !strings.Contains(tt.name, "somewhere") && math.Abs(w.c.distance()-w.truly) > 10 {
				t.Errorf("%.1f m, truly %.1f", w.c.distance(), w.truly)
			}
		})
	}
}

// TestCourseEndsAtLine: a rep of two laps ends with the mark at the line, not
// where the uncorrected estimate has its end; and waits for it a little.
func TestCourseEndsAtLine(t *testing.T) {
	plan := "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\ntimes=2\nfor=\"800 m\"\nrecovery=\"2:00\"\n"
	for _, tt := range []struct {
		name           string
		profile, truth float64
		second         bool // mark in the second rep
	}{
		{"shorter than thought", 1.15, 1.08, true},
		{"longer than thought", 1.02, 1.08, true},
		{"no mark in the second rep", 1.15, 1.08, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := newStrider(withPlan(planOf(t, plan), profiles.Constant(tt.profile)), 195, tt.truth)
			w.cross(400)
			w.cross(800)
			parts := told[event.Part](w)
			if n := len(parts); n != 2 || parts[1].Role != event.RoleRecovery || math.Abs(parts[1].T-w.now) > 0.5 || parts[1].Distance != 800 {
				t.Fatalf("first rep: %+v at %.1f s", parts, w.now)
			}
			w.cadence = 0
			w.walk(w.now + 125)
			w.cadence, w.length = 195, 0.99*w.length // the estimate will be ahead
			from := w.truly
			if w.c.part().Role != event.RoleRep {
				t.Fatal("no second rep")
			}
			w.walk(w.now + 200)
			if tt.second {
				// The walker stood for the first 5 s of the rep.
				w.cross(from + 800)
				parts = told[event.Part](w)
				if math.Abs(parts[len(parts)-1].T-w.now) > 0.5 {
					t.Errorf("second rep: %+v at %.1f s", parts, w.now)
				}
				return
			}
			w.walk(w.now + 60)
			parts = told[event.Part](w)
			speed := 195.0 / 60 * tt.truth
			if n := len(parts); n != 4 || math.Abs((parts[3].T-parts[2].T-5)*speed-800) > 9 {
				t.Errorf("second rep without a mark: %+v", parts)
			}
		})
	}
}

// TestCourseKilometres: reps of two and a half laps, by marks: those that start on
// the far side and end at the line, those that start at the line, and those
// whose last mark comes when the estimate has already ended them.
func TestCourseKilometres(t *testing.T) {
	plan := "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\ntimes=2\nfor=\"1 km\"\nrecovery=\"5:00\"\n"
	for _, tt := range []struct {
		name    string
		profile float64
		marks   []float64
		laps    []float64
	}{
		{"ends at the line", 1.06, []float64{200, 600, 1000}, []float64{200, 400, 400}},
		{"one missed", 1.13, []float64{200, 1000}, []float64{200, 800}},
		{"starts at the line", 1.06, []float64{400, 800}, []float64{400, 400}},
		{"starts at the line, marked at the end", 1.06, []float64{400, 800, 1000}, []float64{400, 400, 200}},
		{"ended too early", 1.2, []float64{1000}, []float64{1000}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := newStrider(withPlan(planOf(t, plan), profiles.Constant(tt.profile)), 195, 1.1)
			for _, d := range tt.marks {
				w.cross(d)
			}
			w.walk(w.now + 100)
			var got []float64
			for _, l := range told[event.Lap](w) {
				got = append(got, math.Round(10*l.Distance)/10)
			}
			if !reflect.DeepEqual(got, tt.laps) {
				t.Errorf("laps %v, want %v", got, tt.laps)
			}
			parts := told[event.Part](w)
			if len(parts) != 2 || parts[1].Role != event.RoleRecovery || math.Abs(parts[1].Distance-1000) > 1e-6 {
				t.Fatalf("%+v", parts)
			}
			if got, want := parts[1].T, 1000/(195.0/60*1.1); tt.name != "ended too early" && math.Abs(got-want) > 1 {
				t.Errorf("the rep ended after %.1f s, want %.1f", got, want)
			}
			if d := w.c.distance(); math.Abs(d-w.truly) > 3 {
				t.Errorf("%.1f m, truly %.1f", d, w.truly)
			}
		})
	}
}

// TestCourseWithoutLength: a part by distance whose length nobody can tell ends
// by marks, or by the skip key, and says so.
func TestCourseWithoutLength(t *testing.T) {
	plan := planOf(t, "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\ntimes=2\nfor=\"400 m\"\ntarget=\"4:30 /km\"\nrecovery=\"1:00\"\n")
	w := newStrider(withPlan(plan, nil), 200, 1.1)
	if got := told[event.Target](w)[0]; got.Cadence != 0 || !strings.Contains(got.Reason, "ends by lap marks or the skip key") || !strings.Contains(got.Reason, "no cadence, since no step length") {
		t.Errorf("%+v", got)
	}
	w.walk(200) // far too long, but nobody can know
	if n := len(told[event.Part](w)); n != 1 {
		t.Fatalf("%d parts", n)
	}
	w.mark(event.MarkSkip)
	w.walk(300)
	if p := w.c.part(); p.Rep != 2 || p.Role != event.RoleRep {
		t.Fatalf("%+v", p)
	}
	from := w.truly
	w.cross(from + 400 - 40.0*200/60*1.1) // 40 s of that rep are behind
	parts := told[event.Part](w)
	if last := parts[len(parts)-1]; last.Role != event.RoleRecovery || math.Abs(last.T-w.now) > 0.1 {
		t.Errorf("%+v", parts)
	}
	if got := w.c.odo.length(200); math.Abs(got-1.1) > 0.02 {
		t.Errorf("step length %.3f m after the mark", got)
	}
}

// TestCourseLane: 25 laps counted as 400 m but walked in lane 8 would be
// 1325.75 m short (computed from the IAAF's rule of measuring lanes).
func TestCourseLane(t *testing.T) {
	lap, err := LapLength(8)
	if err != nil {
		t.Fatal(err)
	}
	w := newStrider(withPlan(planOf(t, "name=\"a\"\nlane=8\n[[set]]\n[[set.rep]]\nfor=\"3 h\""), profiles.Constant(1.08)), 195, 1.1)
	for k := range 25 {
		w.cross(float64(k+1) * lap)
	}
	sum := 0.0
	for _, l := range told[event.Lap](w) {
		sum += l.Distance
	}
	if short := sum - 25*400; math.Abs(short-1325.75) > 0.1 || math.Abs(w.c.distance()-sum) > 1e-6 {
		t.Errorf("%.3f m more than 10 km; %.3f m in all", short, w.c.distance())
	}
}

// TestCourseFreeLaps: without a plan marks tell the laps too, if their length is
// in the settings, and are timed if not.
func TestCourseFreeLaps(t *testing.T) {
	for _, lap := range []float64{0, 400} {
		set := withPlan(nil, profiles.Constant(1.15))
		set.Lap = lap
		w := newStrider(set, 195, 1.1)
		w.cross(400)
		w.cross(402)
		w.cross(800)
		laps := told[event.Lap](w)
		if len(laps) != 2 || math.Abs(laps[1].Time-400/(195.0/60*1.1)) > 1 || (laps[1].StepLength > 0) != (lap > 0) {
			t.Errorf("lap of %g m: %+v", lap, laps)
		}
		if want := map[float64]float64{0: 400 / 1.1 * 1.15, 400: 400}[lap]; len(laps) == 2 && math.Abs(laps[1].Distance-want) > 3 {
			t.Errorf("lap of %g m: %+v, want %.1f m", lap, laps[1], want)
		}
	}
}

// TestCourseTires: steps that become shorter, by 1 % a lap, are followed: each lap
// is told as it is, and the estimate of the next is off by what has changed since
// and not by all of it.
func TestCourseTires(t *testing.T) {
	w := newStrider(withPlan(planOf(t, "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\nfor=\"1 h\""), profiles.Constant(1.1)), 195, 1.1)
	for k := range 15 {
		w.cross(float64(k+1) * 400)
		if got := w.c.odo.length(195); k > 2 && math.Abs(got/w.length-1) > 0.02 {
			t.Errorf("lap %d: step length %.3f m, truly %.3f", k+1, got, w.length)
		}
		w.length *= 0.99
	}
	if n := len(told[event.Lap](w)); n != 15 {
		t.Errorf("%d laps", n)
	}
}

// TestCourseDeafMarks: without a step length and without steps, a mark is a lap
// unless nobody could have walked it in the time.
func TestCourseDeafMarks(t *testing.T) {
	w := newStrider(withPlan(planOf(t, "name=\"a\"\nlap=\"400 m\"\n[[set]]\n[[set.rep]]\nfor=\"800 m\"\n[cool_down]\nfor=\"1:00\""), nil), 195, 1.1)
	w.deaf = true
	for _, d := range []float64{30, 400, 410, 800} {
		w.cross(d)
	}
	parts, laps := told[event.Part](w), told[event.Lap](w)
	if len(parts) != 2 || parts[1].T != w.now || len(laps) != 2 || laps[1].Distance != 400 || laps[1].StepLength != 0 {
		t.Errorf("%+v %+v", parts, laps)
	}
}

// TestCourseLateMarks: a mark that is told 1.5 s after it was made, as one of two
// claps, does what it had done at once.
func TestCourseLateMarks(t *testing.T) {
	for _, tt := range []struct {
		name  string
		lap   float64
		curve profiles.Curve
	}{
		{"at the line", 400, profiles.Constant(1.1)},
		{"step length not known", 400, nil},
		{"no laps", 0, profiles.Constant(1.1)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			walk := func(late float64) (*strider, []event.Lap) {
				s := withPlan(nil, tt.curve)
				s.Lap = tt.lap
				w := newStrider(s, 190, 1.05)
				for d := 400.0; d < 1300; d += 400 {
					for w.truly < d-w.length/2 {
						w.tick()
					}
					made := w.now
					w.walk(made + late)
					w.c.mark(w.now, event.Mark{T: made, Name: event.MarkLap}, &w.orders)
					w.take()
				}
				w.walk(450)
				return w, told[event.Lap](w)
			}
			at, once := walk(0)
			later, laps := walk(1.5)
			if len(once) != 3 || len(laps) != 3 {
				t.Fatalf("%d and %d laps, want 3", len(once), len(laps))
			}
			for i, l := range laps {
				o := once[i]
				if l.T != o.T || l.Time != o.Time || math.Abs(l.Distance-o.Distance) > 1.2 || math.Abs(float64(l.Steps-o.Steps)) > 1 || math.Abs(l.StepLength-o.StepLength) > 0.004 {
					t.Errorf("lap %d is %+v, want %+v", i+1, l, o)
				}
			}
			if d := later.c.distance() - at.c.distance(); math.Abs(d) > 2 {
				t.Errorf("the estimate is %+.1f m off", d)
			}
		})
	}
}

// TestCourseMarksOfLongAgo: a mark is never before the last three seconds, nor in
// the pause before.
func TestCourseMarksOfLongAgo(t *testing.T) {
	s := withPlan(nil, profiles.Constant(1.05))
	w := newStrider(s, 190, 1.05)
	w.walk(20)
	w.c.mark(w.now, event.Mark{T: 2, Name: event.MarkLap}, &w.orders)
	w.take()
	w.walk(30)
	w.mark(event.MarkPause)
	w.walk(60)
	w.mark(event.MarkResume)
	w.walk(61)
	w.c.mark(w.now, event.Mark{T: 59, Name: event.MarkLap}, &w.orders)
	w.take()
	laps := told[event.Lap](w)
	if len(laps) != 2 || laps[0].T != 17 || laps[1].T != 60 {
		t.Errorf("laps %+v, want them at 17 and 60 s", laps)
	}
}
