package coach

import (
	"math"
	"slices"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// session is a stored walk that gets a few cues.
func session(t *testing.T) []event.Event {
	t.Helper()
	in := []event.Event{event.Mark{T: 0, Name: event.MarkStart}}
	for i := 1; i < 400; i++ {
		cadence := 192.0
		if i%160 < 80 {
			cadence = 180.1
		}
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: float64(i) / 2, State: detect.Walking, Cadence: cadence, CadenceSD: 0.3, Heard: 1}})
	}
	return checkSession(t, testSettings(), append(in, event.Mark{T: 200, Name: event.MarkEnd}))
}

func answers(log []event.Event) (at []int) {
	for i, e := range log {
		if !event.IsInput(e) {
			at = append(at, i)
		}
	}
	return at
}

// TestReplayDifferences spoils a sound session in each way there is. One fault
// must give one difference, in words that name it.
func TestReplayDifferences(t *testing.T) {
	sound := session(t)
	at := answers(sound)
	if len(at) < 8 {
		t.Fatalf("only %d answers", len(at))
	}
	third, beat := at[5], at[2] // after a part, a target, the beat, the start and another quicken
	tests := []struct {
		name, want string
		spoil      func(log []event.Event) []event.Event
	}{
		{"missing", "given now, not stored: cue quicken at 35.75 s", func(log []event.Event) []event.Event {
			return slices.Delete(log, third, third+1)
		}},
		{"last missing", "given now, not stored: cue end", func(log []event.Event) []event.Event {
			return log[:len(log)-1]
		}},
		{"extra", "stored, not given again: cue ease at 7 s (no reason)", func(log []event.Event) []event.Event {
			return slices.Insert(log, third, event.Event(event.Cue{T: 7, Name: event.CueEase, Reason: "no reason"}))
		}},
		{"later by a hair", "stored cue quicken at 35.75000000000001 s", func(log []event.Event) []event.Event {
			c := log[third].(event.Cue)
			c.T = 35.750000000000004
			log[third] = c
			return log
		}},
		{"other beat", "stored beat decided at 0 s, from 0.25 s every 0.3 s, first foot left, number 0, 0 dB, given now", func(log []event.Event) []event.Event {
			b := log[beat].(event.Beat)
			b.Period = 0.3
			log[beat] = b
			return log
		}},
		{"other level", "stored beat decided at 0 s, from 0.25 s every 0.3125 s, first foot left, number 0, -6 dB, given now", func(log []event.Event) []event.Event {
			b := log[beat].(event.Beat)
			b.Level = -6
			log[beat] = b
			return log
		}},
		{"other part", `stored part 1, free "jog", at 0 s and 0 m, given now part 1, free ""`, func(log []event.Event) []event.Event {
			p := log[at[0]].(event.Part)
			p.Label = "jog"
			log[at[0]] = p
			return log
		}},
		{"other target", "stored target 192 steps/min, 187 to 196, at 0 s (", func(log []event.Event) []event.Event {
			g := log[at[1]].(event.Target)
			g.Low = 187
			log[at[1]] = g
			return log
		}},
		{"a lap", "stored, not given again: lap of 400 m in 120 s at 130 s", func(log []event.Event) []event.Event {
			return append(log, event.Lap{T: 130, Distance: 400, Time: 120})
		}},
		{"other distances", "stored distance 1 m at 180.1 steps/min, given now 0 m; 398 more distances differ", func(log []event.Event) []event.Event {
			for i, e := range log {
				if r, ok := e.(event.Rhythm); ok {
					r.Distance = 1
					log[i] = r
				}
			}
			return log
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			diffs := Replay(testSettings(), slices.Values(tt.spoil(slices.Clone(sound))))
			if len(diffs) != 1 || !strings.HasPrefix(diffs[0].What, tt.want) {
				t.Errorf("got %v, want one: %s...", diffs, tt.want)
			}
		})
	}
}

// TestReplayOld: a session that was stored before there were parts is not asked
// for what it cannot have.
func TestReplayOld(t *testing.T) {
	set := testSettings()
	set.StepLength = profiles.Constant(1.05)
	in := append(rightWalk(60), event.Mark{T: 60, Name: event.MarkEnd})
	old := slices.DeleteFunc(checkSession(t, set, in), func(e event.Event) bool {
		switch e.(type) {
		case event.Part, event.Target:
			return true
		}
		return false
	})
	for i, e := range old {
		if r, ok := e.(event.Rhythm); ok {
			r.Distance = 0
			old[i] = r
		}
	}
	if diffs := Replay(set, slices.Values(old)); diffs != nil {
		t.Errorf("%v", diffs)
	}
}

// TestReplayPace: the pace that the coach added to a rhythm is an answer too.
func TestReplayPace(t *testing.T) {
	set := testSettings()
	set.StepLength = profiles.Constant(1.05)
	var log []event.Event
	for i := 1; i <= 5; i++ {
		r := detect.Rhythm{T: float64(i) / 2}
		if i > 1 {
			r.State, r.Cadence = detect.Walking, 200
		}
		log = append(log, event.Rhythm{Rhythm: r, Pace: PaceOf(r.Cadence, 1.05)})
	}
	if diffs := Replay(set, slices.Values(log)); diffs != nil {
		t.Errorf("a sound session: %v", diffs)
	}
	r := log[3].(event.Rhythm)
	r.Pace = math.Nextafter(r.Pace, 0)
	log[3] = r
	if diffs := Replay(set, slices.Values(log)); len(diffs) != 1 || diffs[0].T != 2 || !strings.HasPrefix(diffs[0].What, "stored pace 285.71428571428") {
		t.Errorf("one pace off by a hair: %v", diffs)
	}
	set.StepLength = profiles.Constant(1.10)
	if diffs := Replay(set, slices.Values(log)); len(diffs) != 1 || !strings.HasSuffix(diffs[0].What, "; 3 more paces differ") {
		t.Errorf("another step length: %v", diffs)
	}
}

func TestReplaySettings(t *testing.T) {
	s := testSettings()
	s.Policy.MinGap = 20
	s.Policy.MaxGap = 70
	if diffs := Replay(s, slices.Values(session(t))); len(diffs) == 0 {
		t.Error("another policy makes no difference")
	}
	s.Cadence = 0
	if diffs := Replay(s, slices.Values(session(t))); len(diffs) != 1 || !strings.Contains(diffs[0].What, "settings cannot be used: coach: target cadence is 0") {
		t.Errorf("unusable settings: %v", diffs)
	}
}

// TestReplayFaults: the code of a fault is an input like any other. What it led to
// comes again to the bit, and something else when it is lost or another.
func TestReplayFaults(t *testing.T) {
	in := rightWalk(20)
	for t := 20.5; t < 120; t += 0.5 {
		if t == 22 || t == 23 || t == 91 {
			in = append(in, event.Fault{T: t, Code: event.FaultWind, What: "wind drowns the steps"}, event.Fault{T: t, Code: event.FaultBattery, What: "it is low"})
		}
		state := detect.CannotHear
		if t > 50 && t < 90 {
			state = detect.Walking
		}
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: t, State: state, Cadence: 192, CadenceSD: 0.5, Heard: 1}})
	}
	log := checkSession(t, testSettings(), append(in, event.Mark{T: 120, Name: event.MarkEnd}))
	told := map[string]int{}
	for _, e := range log {
		if c, ok := e.(event.Cue); ok {
			told[c.Name]++
		}
	}
	if told[event.CueWind] != 2 || told[event.CueBattery] != 2 || told[event.CueLost] != 0 || told[event.CueBack] != 1 {
		t.Fatalf("cues %v", told)
	}
	for _, code := range []string{"", event.FaultMuted, event.FaultLog} {
		spoiled := slices.Clone(log)
		i := slices.IndexFunc(spoiled, func(e event.Event) bool { return e.Kind() == "fault" })
		f := spoiled[i].(event.Fault)
		f.Code = code
		spoiled[i] = f
		if diffs := Replay(testSettings(), slices.Values(spoiled)); len(diffs) == 0 {
			t.Errorf("with the code %q nothing differs", code)
		}
	}
}
