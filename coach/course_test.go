package coach

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// TestCourseFiveByFive: 5 x 5:00 / 5:00 takes 50 min in 10 parts with 25 min of
// work ("The training pyramid", active.com), and no beat in the recoveries.
func TestCourseFiveByFive(t *testing.T) {
	w := newStrider(withPlan(planOf(t, `name = "a"
[[set]]
[[set.rep]]
times = 5
for = "5:00"
target = "192 steps/min"
recovery = "5:00"`), nil), 192, 1)
	beat := 0.0
	for w.now < 3010 {
		if w.c.goal().beat {
			beat += 0.5
		}
		w.tick()
	}
	parts := told[event.Part](w)
	if len(parts) != 11 {
		t.Fatalf("%d parts", len(parts))
	}
	for i, p := range parts {
		want := event.Part{T: 300 * float64(i), N: i + 1, Role: event.RoleRep, Set: 1, Rep: i/2 + 1, Of: 5, Duration: 300, Distance: p.Distance}
		if i%2 == 1 {
			want.Role = event.RoleRecovery
		}
		if i == 10 {
			want = event.Part{T: 3000, Role: event.RoleFree}
		}
		if p != want {
			t.Errorf("part %d: %+v, want %+v", i, p, want)
		}
	}
	if beat != 25*60 {
		t.Errorf("beat for %g s, want 25 min", beat)
	}
	targets := told[event.Target](w)
	if len(targets) != 10 { // five reps, five times free; the end is free already
		t.Errorf("%d targets: %+v", len(targets), targets)
	}
	if got := w.cues(event.CueCountdown); got != "countdown 597.0, countdown 1197.0, countdown 1797.0, countdown 2397.0" {
		t.Error(got)
	}
	if got := w.cues(event.CueRepStart, event.CueRepEnd, event.CueRecovered); got != "rep end 300.0, rep start 600.0, rep end 900.0, rep start 1200.0, rep end 1500.0, rep start 1800.0, rep end 2100.0, rep start 2400.0, rep end 2700.0, rep end 3000.0" {
		t.Error(got)
	}
	if got := w.cues(event.CueHalfWay, event.CueLastPart); !strings.HasPrefix(got, "half way 150.0, last part 290.0, half way 750.0, last part 890.0") {
		t.Error(got)
	}
}

// TestCourseDistance: parts by distance end where the steps say, whatever the
// walker does in between, and the estimate is not told late.
func TestCourseDistance(t *testing.T) {
	w := newStrider(withPlan(planOf(t, `name = "a"
[[set]]
[[set.rep]]
times = 2
for = "1 km"
target = "4:30 /km"
recovery = "200 m"
[cool_down]
for = "500 m"`), profiles.Constant(1.1)), 202, 1.1)
	w.walk(900)
	speed := 202.0 / 60 * 1.1
	at := []float64{0, 1000, 1200, 2200, 2400, 2900}
	parts := told[event.Part](w)
	if len(parts) != len(at) {
		t.Fatalf("%d parts: %+v", len(parts), parts)
	}
	for i, p := range parts {
		if p.Distance != at[i] || math.Abs(p.T-at[i]/speed) > 0.5 {
			t.Errorf("part %d at %.1f m, %.2f s; want %g m, %.2f s", i, p.Distance, p.T, at[i], at[i]/speed)
		}
	}
	for _, c := range []struct {
		name string
		want []float64
	}{
		{event.CueHalfWay, []float64{500, 1700}},
		{event.CueLastPart, []float64{950, 2150}},
		{event.CueRepEnd, []float64{1000, 2200, 2900}},
		{event.CueRepStart, []float64{1200}},
		{event.CueRecovered, []float64{2400}},
	} {
		var got []float64
		for _, x := range w.wishes {
			if x.cue.Name == c.name {
				got = append(got, x.cue.T)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %v", c.name, got)
			continue
		}
		for i := range got {
			if math.Abs(got[i]*speed-c.want[i]) > 2 {
				t.Errorf("%s at %.1f m, want %g", c.name, got[i]*speed, c.want[i])
			}
		}
	}
	if got := w.c.goal(); got != (goal{}) {
		t.Errorf("after the plan: %+v", got)
	}
}

// TestCoursePause: the session's time stands still, and nothing is walked.
func TestCoursePause(t *testing.T) {
	plan := planOf(t, "name=\"a\"\n[[set]]\n[[set.rep]]\nfor=\"2:00\"\ntarget=\"190 steps/min\"\nrecovery=\"1:00\"\n")
	w := newStrider(withPlan(plan, profiles.Constant(1)), 190, 1)
	w.walk(60)
	d := w.c.distance()
	w.mark(event.MarkPause)
	if g := w.c.goal(); g.beat || g.cadence != 190 {
		t.Errorf("paused: %+v", g)
	}
	w.walk(1060)
	var s Status
	w.c.status(&s)
	if w.c.distance() != d || !s.Paused || math.Abs(s.Done-0.5) > 0.01 || math.Abs(s.Left-60) > 1 {
		t.Errorf("%+v after %g m", s, w.c.distance()-d)
	}
	w.mark(event.MarkResume)
	w.c.status(&s)
	w.walk(1300)
	parts := told[event.Part](w)
	if s.Part != parts[0] {
		t.Errorf("%+v, told %+v", s.Part, parts[0])
	}
	if len(parts) != 3 || parts[1].T != 1120 || parts[2].T != 1180 {
		t.Errorf("%+v", parts)
	}
	if got := w.c.distance() - d; math.Abs(got-240*190/60) > 3 {
		t.Errorf("%g m after the pause", got)
	}
	if got := w.cues(event.CueHalfWay, event.CuePaused, event.CueResumed); got != "half way 60.0, paused 60.0, resumed 1060.0" || w.clears != 1 {
		t.Errorf("%s, %d clears", got, w.clears)
	}
}

// TestCourseUnheard: where the walker cannot be heard the way goes on by the
// last cadence, for a minute; where nobody walks there is none.
func TestCourseUnheard(t *testing.T) {
	w := newStrider(Settings{Cadence: 190, Slow: 4, Quick: 4, StepLength: profiles.Constant(1), Policy: DefaultPolicy()}, 180, 1)
	w.walk(60)
	w.deaf = true
	w.walk(80)
	w.deaf = false
	w.walk(140)
	if d := w.c.distance(); math.Abs(d-w.truly) > 3 {
		t.Errorf("%.1f m with 20 s unheard, truly %.1f", d, w.truly)
	}
	w.deaf = true
	from := w.c.distance()
	w.walk(300)
	if d := w.c.distance() - from; math.Abs(d-180) > 5 {
		t.Errorf("%.1f m in 160 s unheard, want a minute's", d)
	}
	w.deaf, w.cadence = false, 0
	w.walk(310)
	from = w.c.distance()
	w.walk(400)
	if d := w.c.distance() - from; d != 0 {
		t.Errorf("%.1f m while standing", d)
	}
}

// TestCoursePlans: on random plans and random walks the parts come in order,
// each once; the timed ones take their time, and those by distance their
// distance.
func TestCoursePlans(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	for range 40 {
		plan := randomPlan(r)
		w := newStrider(withPlan(plan, profiles.Constant(1)), 200, 1)
		var pauses []float64 // starts and ends
		for w.c.at < len(plan.Parts) && w.now < 40_000 {
			switch {
			case r.IntN(60) == 0:
				w.cadence = []float64{0, 150, 185, 210}[r.IntN(4)]
			case r.IntN(200) == 0:
				w.deaf = !w.deaf
			case !w.c.paused && r.IntN(200) == 0, w.c.paused && r.IntN(10) == 0:
				w.mark(map[bool]string{false: event.MarkPause, true: event.MarkResume}[w.c.paused])
				pauses = append(pauses, w.now)
			}
			w.tick()
		}
		clock := func(t float64) float64 {
			out := t
			for i := 0; i+1 < len(pauses) && pauses[i+1] <= t; i += 2 {
				out -= pauses[i+1] - pauses[i]
			}
			return out
		}
		parts := told[event.Part](w)
		if len(parts) != len(plan.Parts)+1 {
			t.Fatalf("%d parts told of %d", len(parts), len(plan.Parts))
		}
		for i, p := range plan.Parts {
			a, b := parts[i], parts[i+1]
			time, way := clock(b.T)-clock(a.T), b.Distance-a.Distance
			switch counted := !p.Works() && i+1 < len(plan.Parts) && plan.Parts[i+1].Works(); {
			case a.N != i+1 || a.Role != p.Role:
				t.Errorf("part %d: %+v", i+1, a)
			case p.Duration > 0 && math.Abs(time-p.Duration) > 1e-6:
				t.Errorf("part %d took %.3f s, planned %.3f", i+1, time, p.Duration)
			case p.Length > 0 && !counted && math.Abs(way-p.Length) > 1e-6:
				t.Errorf("part %d took %.3f m, planned %.3f", i+1, way, p.Length)
			case p.Length > 0 && counted && math.Abs(way-p.Length) > 16: // the walker stopped during the countdown
				t.Errorf("part %d took %.3f m, planned %.3f", i+1, way, p.Length)
			}
		}
	}
}

func randomPlan(r *rand.Rand) *profiles.Plan {
	p := &profiles.Plan{Name: "random"}
	for range 1 + r.IntN(20) {
		part := profiles.PlanPart{Role: []string{profiles.PlanRep, profiles.PlanDrill, profiles.PlanRecovery, profiles.PlanWarmUp}[r.IntN(4)]}
		if r.IntN(2) == 0 {
			part.Length = 10 + 990*r.Float64()
		} else {
			part.Duration = 5 + 300*r.Float64()
		}
		if r.IntN(3) > 0 {
			part.Targets = []profiles.PlanPoint{{Target: profiles.PlanTarget{Cadence: 170 + 40*r.Float64()}}}
		}
		p.Parts = append(p.Parts, part)
	}
	return p
}

// TestCourseAllocs: a step and a tick of a plan with all it can have cost no
// memory.
func TestCourseAllocs(t *testing.T) {
	plan := planOf(t, `name = "a"
lane = 1
[[set]]
[[set.rep]]
for = "50 km"
target = "180 steps/min"
to = "190 steps/min"
remind = [ { say = "a", every = "49 km" }, { say = "b", every = "5 h" } ]`)
	w := newStrider(withPlan(plan, profiles.Constant(1)), 180, 1)
	w.walk(30)
	now := w.now
	if n := testing.AllocsPerRun(200, func() {
		now += 0.5
		w.c.step(now, detect.Step{T: now})
		w.c.tick(now, detect.Rhythm{State: detect.Walking, Cadence: 180}, &w.orders)
		w.orders.events, w.orders.wishes = w.orders.events[:0], w.orders.wishes[:0]
		w.c.goal()
	}); n != 0 {
		t.Errorf("%g allocations a tick", n)
	}
}

func BenchmarkCourse(b *testing.B) {
	p, err := profiles.ParsePlan("a", []byte("name='a'\n[[set]]\n[[set.rep]]\nfor='100 km'\ntarget='180 steps/min'\nto='190 steps/min'"))
	if err != nil {
		b.Fatal(err)
	}
	c := newCourse(withPlan(p, profiles.Constant(1)))
	var out orders
	c.start(0, &out)
	b.ReportAllocs()
	for i := range b.N {
		now := float64(i) / 2
		c.step(now, detect.Step{T: now})
		c.tick(now, detect.Rhythm{State: detect.Walking, Cadence: 180}, &out)
		c.goal()
		out.events, out.wishes = out.events[:0], out.wishes[:0]
	}
}

// TestCourseAnything: whatever keys are pressed, the parts come in order and
// every figure is one.
func TestCourseAnything(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	names := []string{
		event.MarkLap, event.MarkLap, event.MarkLap, event.MarkSkip, event.MarkPause, event.MarkResume,
		event.MarkTarget, event.MarkBeatOn, event.MarkBeatOff, event.MarkStart, "no such mark",
	}
	for range 60 {
		plan := randomPlan(r)
		plan.Lap = []float64{0, 50, 400}[r.IntN(3)]
		curve := []profiles.Curve{nil, profiles.Constant(0.3), profiles.Constant(1.1), profiles.Constant(2)}[r.IntN(4)]
		w := newStrider(withPlan(plan, curve), 190, 1)
		for range 1500 {
			if r.IntN(20) == 0 {
				w.c.mark(w.now, event.Mark{T: w.now, Name: names[r.IntN(len(names))], Value: 50 * r.NormFloat64()}, &w.orders)
				w.take()
			}
			if r.IntN(50) == 0 {
				w.cadence, w.length, w.deaf = []float64{0, 100, 200}[r.IntN(3)], 0.5+r.Float64(), r.IntN(2) == 0
			}
			w.tick()
			g := w.c.goal()
			var s Status
			w.c.status(&s)
			for _, x := range []float64{g.cadence, g.low, g.high, g.pace, s.Done, s.Left, s.Distance} {
				if !(x >= 0 && x < 1e6) {
					t.Fatalf("%+v %+v", g, s)
				}
			}
		}
		last := 0.0
		for i, p := range told[event.Part](w) {
			if p.T < last {
				t.Fatalf("part %d at %g s, the one before at %g", i+1, p.T, last)
			}
			last = p.T
			if want := i + 1; p.N != want && !(p.N == 0 && i == len(plan.Parts)) || !(p.T >= 0 && p.T <= w.now) {
				t.Fatalf("part %d: %+v", want, p)
			}
		}
		for _, x := range w.wishes {
			if !(x.cue.T >= 0 && x.until >= x.cue.T) {
				t.Fatalf("%+v", x)
			}
		}
	}
}
