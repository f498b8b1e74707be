package coach

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/profiles"
)

// TestCourseShift: a target moved by the key holds for this part and all later
// ones with the same target, and for no other.
func TestCourseShift(t *testing.T) {
	plan := planOf(t, `name = "a"
[[set]]
rounds = 2
[[set.rep]]
for = "1:00"
target = "190 steps/min"
[[set.rep]]
for = "1:00"
target = "180 steps/min"
[[set.rep]]
for = "1:00"
`)
	w := newStrider(withPlan(plan, nil), 190, 1)
	w.walk(10)
	shift := func(by float64) {
		w.c.mark(w.now, event.Mark{Name: event.MarkTarget, Value: by}, &w.orders)
		w.take()
	}
	shift(2)
	shift(1)
	w.walk(150)
	shift(5) // free: no target to move
	w.walk(220)
	shift(1000) // no further than can be followed
	w.walk(370)
	var got []float64
	for _, e := range told[event.Target](w) {
		got = append(got, e.Cadence)
	}
	if want := []float64{190, 192, 193, 180, 0, 193, 240, 180, 0}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestCourseTargets: pace targets follow the step length of the laps, ramps and
// effort plans follow the way.
func TestCourseTargets(t *testing.T) {
	curve := profiles.Curve{{Cadence: 180, Length: 1.02}, {Cadence: 204, Length: 1.10}}
	plan := planOf(t, `name = "a"
lap = "400 m"
[[set]]
[[set.rep]]
for = "2 km"
target = "5:00 /km"
[[set.rep]]
for = "10:00"
target = "180 steps/min"
to = "200 steps/min"
band = { slow = 1, quick = 2, unit = "%" }
beat = "lead"
[[set.rep]]
for = "3 km"
effort = [ { at = "0 km", target = "180 steps/min" }, { at = "1 km", target = "185 steps/min" }, { at = "2 km", target = "free" } ]
`)
	w := newStrider(withPlan(plan, curve), 192, 0.97*curve.Length(192))
	first := w.c.goal()
	if want := curve.Cadence(300); first.cadence != want || first.pace != 300 {
		t.Errorf("%+v, want %g steps/min", first, want)
	}
	w.cross(400)
	w.cross(800)
	g := w.c.goal()
	if speed := g.cadence / 60 * 0.97 * curve.Length(g.cadence); math.Abs(1000/speed-300) > 1 || g.pace != 300 || !(g.cadence > first.cadence) {
		t.Errorf("after laps of short steps %+v is %.1f s/km", g, 1000/speed)
	}
	for w.c.at == 0 {
		w.tick()
	}
	from := w.c.since
	w.walk(from + 150)
	g = w.c.goal()
	if math.Abs(g.cadence-185) > 0.2 || math.Abs(g.low-0.99*g.cadence) > 1e-9 || math.Abs(g.high-1.02*g.cadence) > 1e-9 || g.mode != Lead {
		t.Errorf("a quarter up the ramp: %+v", g)
	}
	n := len(told[event.Target](w))
	w.walk(from + 450)
	if got := len(told[event.Target](w)) - n; got < 9 || got > 11 {
		t.Errorf("%d targets told along 10 steps/min of ramp", got)
	}
	for w.c.at == 1 {
		w.tick()
	}
	for w.c.at == 2 {
		x := w.c.distance() - w.c.from
		want := []float64{180, 185, 0, 0}[int(x/1000)]
		if g := w.c.goal(); g.cadence != want && math.Abs(math.Mod(x+500, 1000)-500) > 5 {
			t.Fatalf("%.0f m into the effort plan: %+v", x, g)
		}
		w.tick()
	}
}

// TestCourseBeatKeys: off is off until the walker wants the beat again; on brings
// it into this recovery, and not into the next.
func TestCourseBeatKeys(t *testing.T) {
	plan := planOf(t, `name = "a"
[[set]]
[[set.rep]]
times = 3
for = "1:00"
target = "190 steps/min"
recovery = "1:00"
recovery_target = "160 steps/min"
`)
	w := newStrider(withPlan(plan, nil), 190, 1)
	var got strings.Builder
	keys := map[int]string{3: event.MarkBeatOn, 5: event.MarkBeatOff, 9: event.MarkBeatOn}
	for i := range 12 {
		if k := keys[i]; k != "" {
			w.mark(k)
		}
		if w.c.goal().beat {
			got.WriteByte('x')
		} else {
			got.WriteByte('.')
		}
		w.walk(float64(30 * (i + 1)))
	}
	if got.String() != "xx.xx....x.." {
		t.Error(got.String())
	}
}
