package coach

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// TestCourseReady: the rep begins with the countdown after the key.
func TestCourseReady(t *testing.T) {
	plan := planOf(t, "name=\"a\"\n[warm_up]\nfor=\"ready\"\n[[set]]\nafter=\"ready\"\n[[set.rep]]\nfor=\"1:00\"\n[cool_down]\nfor=\"1:00\"\n")
	w := newStrider(withPlan(plan, nil), 180, 1)
	w.walk(100)
	w.mark(event.MarkSkip)
	w.walk(110)
	w.walk(200)
	w.mark(event.MarkSkip) // no rep follows: at once
	w.walk(300)
	lead := w.c.set.Policy.Lead
	var got []string
	for _, p := range told[event.Part](w) {
		got = append(got, fmt.Sprintf("%s %.2f", p.Role, p.T))
	}
	if want := []string{"warm-up 0.00", fmt.Sprintf("rep %.2f", 103+lead), fmt.Sprintf("recovery %.2f", 163+lead), "cool-down 200.00", "free 260.00"}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if got, want := w.cues(event.CueCountdown, event.CueRepStart, event.CueRecovered), fmt.Sprintf("countdown %.1f, rep start %.1f, recovery over 200.0", 100+lead, 103+lead); got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// TestCourseReminders: places from the start, from the end, and again and again.
func TestCourseReminders(t *testing.T) {
	plan := planOf(t, `name = "a"
[[set]]
[[set.rep]]
for = "1 km"
remind = [ { say = "posture", at = "100 m" }, { say = "arms", before_end = "100 m" }, { say = "hips", every = "300 m" }, { say = "clock", at = "30 s" } ]
`)
	w := newStrider(withPlan(plan, profiles.Constant(1)), 180, 1) // 3 m/s
	w.walk(400)
	want := map[string][]float64{"posture": {100.0 / 3}, "arms": {300}, "hips": {100, 200, 300}, "clock": {30}}
	got := map[string][]float64{}
	for _, x := range w.wishes {
		if x.cue.Name == event.CueReminder {
			got[x.cue.Line] = append(got[x.cue.Line], x.cue.T)
			if x.rank != rankReminder {
				t.Errorf("rank %d", x.rank)
			}
		}
	}
	for line, at := range want {
		if len(got[line]) != len(at) {
			t.Errorf("%s at %v, want %v", line, got[line], at)
			continue
		}
		for i := range at {
			if math.Abs(got[line][i]-at[i]) > 0.7 {
				t.Errorf("%s at %v, want %v", line, got[line], at)
			}
		}
	}
}

// TestCourseInTheEar: what the whole coach says in a session, and that each
// countdown ends with the start of its rep, to the sample, and with the part.
func TestCourseInTheEar(t *testing.T) {
	set := withPlan(planOf(t, `name = "a"
[warm_up]
for = "1:00"
[[set]]
after = "none"
[[set.rep]]
times = 2
for = "200 m"
target = "190 steps/min"
recovery = "100 m"
[cool_down]
for = "30 s"`), profiles.Constant(1))
	c, err := New(set)
	if err != nil {
		t.Fatal(err)
	}
	var out []event.Event
	out = c.Handle(out, event.Mark{T: 0, Name: event.MarkStart})
	next := 0.0
	for now := 0.5; now < 300; now += 0.5 {
		for ; next <= now; next += 60.0 / 190 {
			out = c.Handle(out, event.Step{Step: detect.Step{T: next, Heard: true}})
		}
		out = c.Handle(out, event.Rhythm{Rhythm: detect.Rhythm{T: now, State: detect.Walking, Cadence: 190, CadenceSD: 0.3, Heard: 1}})
	}
	var said []string
	var starts, parts []float64
	free := 0.0
	for _, e := range out {
		switch e := e.(type) {
		case event.Part:
			if e.Role == event.RoleRep {
				parts = append(parts, e.T)
			}
		case event.Cue:
			switch e.Name {
			case event.CueQuicken, event.CueEase, event.CueSettled, event.CueHold, event.CueFade, event.CueUneven, event.CueCadence:
			default:
				said = append(said, e.Name)
			}
			if e.T < free-1e-6 {
				t.Errorf("%s at %.3f s, before the last one is over", e.Name, e.T)
			}
			if e.Name == event.CueRepStart {
				starts = append(starts, e.T)
				if math.Abs(e.T-free) > 1e-6 {
					t.Errorf("rep start at %.3f s, the countdown led to %.3f", e.T, free)
				}
			}
			free = e.T + 2
			if e.Name == event.CueCountdown {
				free = e.T + e.Value
			}
		}
	}
	want := "start, countdown, rep start, half way, last part, rep end, countdown, rep start, half way, last part, rep end, rep end"
	if got := strings.Join(said, ", "); got != want {
		t.Errorf("said  %s\nwant %s", got, want)
	}
	if len(parts) != len(starts) {
		t.Fatalf("parts %v, starts %v", parts, starts)
	}
	for i := range parts {
		if math.Abs(parts[i]-starts[i]) > 1e-6 {
			t.Errorf("rep %d begins at %.4f s, told at %.4f", i+1, parts[i], starts[i])
		}
	}
}

// TestCoursePauseInCountdown: after a pause it is counted down again if there is
// time for it.
func TestCoursePauseInCountdown(t *testing.T) {
	for _, tt := range []struct {
		pause float64
		want  string
	}{
		{58, "countdown 57.0, rep start 70.0"}, // 2 s were left
		{55, "countdown 57.0, countdown 67.0, rep start 70.0"},
		{50, "countdown 67.0, rep start 70.0"},
	} {
		plan := planOf(t, "name=\"a\"\n[warm_up]\nfor=\"1:00\"\n[[set]]\n[[set.rep]]\nfor=\"20 s\"\n")
		w := newStrider(withPlan(plan, nil), 180, 1)
		w.walk(tt.pause)
		w.mark(event.MarkPause)
		w.walk(tt.pause + 10)
		w.mark(event.MarkResume)
		w.walk(75)
		if got := w.cues(event.CueCountdown, event.CueRepStart); got != tt.want {
			t.Errorf("paused at %g s: %s, want %s", tt.pause, got, tt.want)
		}
	}
}
