package coach

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// joined is a walk with a group: on the beat of the leader, who has a rep at 192
// after 20 s, another tempo at 60 s, a recovery from 90 s and a pause from 120 s.
func joined(walker func(t float64) float64) []event.Event {
	at := func(t float64) float64 { return 0.4 + t }
	free := event.Shared{T: 0.5, Beat: event.Beat{}, Then: event.Beat{Start: at(20), Period: 0.3125, Side: detect.Right}}
	rep := event.Shared{
		T: 20.5, Beat: free.Then, Target: event.Target{T: at(20), Cadence: 192, Low: 189, High: 195, Pace: 298, Reason: "rep 2 of 8"},
		Part: event.Part{T: at(20), N: 3, Role: event.RoleRep, Rep: 2, Of: 8, Length: 300}, Next: event.Part{N: 4, Role: event.RoleRecovery}, Ends: at(90),
	}
	free.Then.T, free.Next = 0, rep.Part
	quick := rep
	quick.T, quick.Then = 60, event.Beat{Start: at(20) + 130*0.3125, Period: 0.3, Side: detect.Right, N: 130}
	quick.Target.Cadence, quick.Target.Low, quick.Target.High = 200, 197, 203
	slow := event.Shared{T: 90.5, Part: event.Part{T: at(90), N: 4, Role: event.RoleRecovery, Rep: 2, Of: 8, Duration: 60}, Ends: at(150)}
	halt := slow
	halt.T, halt.Paused, halt.Ends = 120, true, 0
	on := slow
	on.T, on.Ends = 130, at(160)
	calls := []event.Event{
		event.Call{T: 16.5, Due: at(17), Name: event.CueCountdown, Value: 3}, event.Call{T: 19, Due: at(20), Name: event.CueRepStart},
		event.Call{T: 40, Due: 41.2, Name: event.CueReminder, Line: "hips"}, event.Call{T: 50, Due: 51, Name: event.CueQuicken},
		event.Call{T: 120.1, Due: 121.5, Name: event.CuePaused}, event.Call{T: 130, Due: 131.5, Name: event.CueResumed},
	}
	in := append(calls, free, rep, quick, slow, halt, on, event.Mark{T: 160, Name: event.MarkEnd})
	side, next := detect.Left, 1.0
	for tick := 0.5; tick < 160; tick += 0.5 {
		for ; next <= tick; next += 60 / walker(next) {
			in = append(in, event.Step{Step: detect.Step{T: next, Side: side, Confidence: 1, Heard: true}})
			side = side.Other()
		}
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: tick, State: detect.Walking, Cadence: walker(tick - 2), CadenceSD: 0.5, Heard: 1}})
	}
	slices.SortStableFunc(in, func(a, b event.Event) int {
		if a.At() < b.At() {
			return -1
		}
		return int(math.Ceil(a.At() - b.At()))
	})
	return append([]event.Event{event.Mark{Name: event.MarkStart}}, in...)
}

func cuesOf(log []event.Event) (cues []event.Cue) {
	for _, e := range log {
		if c, ok := e.(event.Cue); ok {
			cues = append(cues, c)
		}
	}
	return cues
}

func findCue(t *testing.T, log []event.Event, name string) event.Cue {
	t.Helper()
	for _, c := range cuesOf(log) {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no %q among %+v", name, cuesOf(log))
	return event.Cue{}
}

// TestSharedCourse: parts and targets are the leader's, announcements come to the
// moment, and the replay gives the same to the bit (checkSession).
func TestSharedCourse(t *testing.T) {
	set := sharedSettings()
	set.StepLength = profiles.Constant(1)
	log := checkSession(t, set, joined(func(t float64) float64 {
		if t > 62 && t < 90 {
			return 200
		}
		return 192
	}))
	var parts []event.Part
	var targets []event.Target
	for _, e := range log {
		switch e := e.(type) {
		case event.Part:
			parts = append(parts, e)
		case event.Target:
			targets = append(targets, e)
		}
	}
	if len(parts) != 3 || parts[0] != (event.Part{Role: event.RoleFree}) || parts[2].T != 90.4 || parts[2].N != 4 {
		t.Fatalf("parts %+v", parts)
	}
	rep := parts[1]
	near(t, "way at the start of the rep", rep.Distance, 62, 2)
	rep.Distance = 0
	if want := (event.Part{T: 20.4, N: 3, Role: event.RoleRep, Rep: 2, Of: 8, Duration: 70}); rep != want {
		t.Errorf("got %+v, want %+v", rep, want)
	}
	var cadences []float64
	for _, g := range targets {
		cadences = append(cadences, g.Cadence)
	}
	if !slices.Equal(cadences, []float64{0, 192, 200, 0}) || targets[1].Low != 189 || targets[1].Pace != 298 || !strings.Contains(targets[2].Reason, "rep 2 of 8") {
		t.Errorf("targets %+v", targets)
	}
	for name, at := range map[string]float64{event.CueCountdown: 17.4, event.CueRepStart: 20.4, event.CueReminder: 41.2, event.CuePaused: 121.5, event.CueResumed: 131.5} {
		if c := findCue(t, log, name); c.T != at || c.Reason != "announced by the leader of the group" {
			t.Errorf("%+v, want it at %v", c, at)
		}
	}
	for _, c := range cuesOf(log) {
		switch c.Name {
		case event.CueQuicken, event.CueEase, event.CueRepEnd, event.CueFade:
			t.Errorf("to one who is right: %+v", c)
		}
	}
}

// TestSharedPolicy: a walker who is slower than the group is told as ever.
func TestSharedPolicy(t *testing.T) {
	log := checkSession(t, sharedSettings(), joined(func(t float64) float64 { return 184 }))
	c := findCue(t, log, event.CueQuicken)
	if c.T < 20.4+DefaultPolicy().Grace || c.T > 45 || !strings.Contains(c.Reason, "band 189.0 to 195.0") {
		t.Errorf("%+v", c)
	}
}

// TestSharedPause: time and way stand still while the leader or the walker has
// paused, and go on when both want it.
func TestSharedPause(t *testing.T) {
	set := sharedSettings()
	set.StepLength = profiles.Constant(1)
	c := newTestCoach(t, set)
	c.Handle(nil, event.Mark{Name: event.MarkStart})
	at := 0.0
	walk := func(until float64) float64 {
		from := c.Distance()
		for ; at < until; at += 0.3 {
			c.Handle(nil, event.Step{Step: detect.Step{T: at, Heard: true}})
		}
		return c.Distance() - from
	}
	beat := event.Beat{Start: 3, Period: 0.3}
	c.Handle(nil, event.Shared{T: 1, Beat: beat})
	near(t, "way", walk(10), 33, 1.5)
	c.Handle(nil, event.Shared{T: 10, Beat: beat, Paused: true})
	if way := walk(13); way != 0 || !c.Status().Paused {
		t.Errorf("%v m in the leader's pause", way)
	}
	c.Handle(nil, event.Mark{T: 13, Name: event.MarkPause})
	c.Handle(nil, event.Shared{T: 14, Beat: beat})
	if way := walk(16); way != 0 || !c.Status().Paused || c.Status().Beat {
		t.Errorf("%v m in the walker's pause", way)
	}
	c.Handle(nil, event.Mark{T: 16, Name: event.MarkResume})
	near(t, "way", walk(19), 10, 1.5)
	c.Handle(nil, event.Shared{T: 19, Beat: beat, Paused: true})
	c.Handle(nil, event.Mark{T: 20, Name: event.MarkResume})
	if !c.Status().Paused {
		t.Error("the walker has ended the leader's pause")
	}
	if u := c.Unsaid(); len(u) != 0 {
		t.Errorf("%+v", u)
	}
}

// TestSharedStatus: what a screen shows of the leader's part, and keys that would
// take the group's target somewhere else.
func TestSharedStatus(t *testing.T) {
	c := newTestCoach(t, sharedSettings())
	for _, e := range joined(func(float64) float64 { return 192 }) {
		if e.At() > 50 {
			break
		}
		c.Handle(nil, e)
	}
	c.Handle(nil, event.Mark{T: 50, Name: event.MarkTarget, Value: 5})
	c.Handle(nil, event.Mark{T: 50, Name: event.MarkSkip})
	s := c.Status()
	if s.Part.Rep != 2 || s.Part.Of != 8 || s.Next.Role != event.RoleRecovery || s.Target != 192 || s.Pace != 298 || !s.Beat || s.Mode != Shared || s.State != InBand {
		t.Errorf("%+v", s)
	}
	near(t, "left", s.Left, 40.4, 0.01)
	near(t, "done", s.Done, 29.6/70, 0.001)
}

// TestSharedLap: laps are measured between marks; where the leader's parts begin is
// no place to measure from.
func TestSharedLap(t *testing.T) {
	set := sharedSettings()
	set.StepLength, set.Lap = profiles.Constant(1.04), 100
	in := joined(func(float64) float64 { return 180 })
	in = in[:slices.IndexFunc(in, func(e event.Event) bool { return e.At() > 119 })]
	for _, at := range []float64{33.5, 66.9, 100.3} { // 100 steps of 1 m each
		i := slices.IndexFunc(in, func(e event.Event) bool { return e.At() > at })
		in = slices.Insert(in, i, event.Event(event.Mark{T: at, Name: event.MarkLap}))
	}
	var laps []float64
	for _, e := range checkSession(t, set, in) {
		if l, ok := e.(event.Lap); ok {
			laps = append(laps, l.Distance)
		}
	}
	if !slices.Equal(laps, []float64{100, 100, 100}) {
		t.Errorf("laps of %v m", laps)
	}
}

// TestSharedStart: it is the leader who says start, once.
func TestSharedStart(t *testing.T) {
	c := newTestCoach(t, sharedSettings())
	said := cuesOf(c.Handle(nil, event.Mark{Name: event.MarkStart}))
	said = append(said, cuesOf(c.Handle(nil, event.Call{T: 2, Due: 3, Name: event.CueStart}))...)
	if len(said) != 1 || said[0].T != 3 {
		t.Errorf("%+v", said)
	}
}

// TestCallOff: an announcement that still waits is not said when it was taken back;
// another one of the name is.
func TestCallOff(t *testing.T) {
	in := []event.Event{
		event.Mark{Name: event.MarkStart},
		event.Call{T: 6, Due: 10, Name: event.CueHalfWay}, event.Call{T: 6, Due: 14, Name: event.CueHalfWay},
		event.Call{T: 7, Due: 10, Name: event.CallOff, Line: event.CueHalfWay},
		event.Call{T: 7, Due: 14.5, Name: event.CallOff, Line: event.CueHalfWay}, // there is none
		event.Call{T: 7, Due: 14, Name: event.CallOff, Line: event.CueRepEnd},    // likewise
	}
	for at := 7.5; at < 20; at += 0.5 {
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: at, State: detect.Walking, Cadence: 180, CadenceSD: 0.5, Heard: 1}})
	}
	said := cuesOf(checkSession(t, sharedSettings(), append(in, event.Mark{T: 20, Name: event.MarkEnd})))
	if len(said) != 2 || said[0].T != 14 || said[0].Name != event.CueHalfWay || said[1].Name != event.CueEnd {
		t.Errorf("%+v", said)
	}
}

// TestSharedOnlyThen: without the mode the leader is not heard, and a session of
// one's own does not go with it.
func TestSharedOnlyThen(t *testing.T) {
	c := newTestCoach(t, testSettings())
	out := c.Handle(nil, event.Mark{Name: event.MarkStart})
	n := len(out)
	out = c.Handle(out, event.Shared{T: 3, Paused: true, Target: event.Target{Cadence: 200}})
	out = c.Handle(out, event.Call{T: 3, Due: 4, Name: event.CueRepStart})
	if len(out) != n || c.Status().Paused {
		t.Errorf("%+v", out[n:])
	}
	s := sharedSettings()
	s.Plan = &profiles.Plan{}
	if err := s.Validate(); err == nil || !strings.Contains(err.Error(), "leader of a group has the session") {
		t.Error(err)
	}
}

// TestSharedAnySequence: whatever a leader tells, sound or not, what holds for every
// session holds, and the replay is the same.
func TestSharedAnySequence(t *testing.T) {
	for seed := range uint64(60) {
		sharedSequence(t, seed, nil)
	}
}

func FuzzShared(f *testing.F) {
	f.Add(uint64(1), []byte{0, 0, 0, 0, 0, 2, 0, 0, 1, 0, 16, 0, 0})
	f.Add(uint64(2), slices.Repeat([]byte{0x22, 0, 0, 1}, 100))
	f.Fuzz(func(t *testing.T, seed uint64, data []byte) { sharedSequence(t, seed, data) })
}

func sharedSequence(t *testing.T, seed uint64, data []byte) {
	rng := rand.New(rand.NewPCG(seed, 5))
	if data == nil {
		data = make([]byte, 1200)
		for i := 4; i < len(data); i += 4 {
			binary.LittleEndian.PutUint32(data[i:], rng.Uint32())
		}
	}
	value := func(usual, spread float64) float64 {
		if rng.IntN(12) == 0 {
			return odd[rng.IntN(len(odd))]
		}
		return usual + spread*rng.NormFloat64()
	}
	var in []event.Event
	for _, e := range decodeEvents(data) {
		in = append(in, e)
		at := e.At()
		switch {
		case !(at >= 0 && at < 1e6):
		case rng.IntN(5) == 0:
			in = append(in, event.Shared{
				T: at, Beat: event.Beat{Start: value(at, 20), Period: value(0.31, 0.02), N: rng.IntN(300)},
				Then:   event.Beat{Start: value(at, 3), Period: 0.3 * float64(rng.IntN(2)), N: rng.IntN(300)},
				Target: event.Target{Cadence: value(192, 20), Low: value(188, 5), High: value(196, 5), Pace: value(300, 20)},
				Part:   event.Part{T: value(at, 5), N: rng.IntN(3), Role: event.RoleRep}, Ends: value(at, 50),
				Every: rng.IntN(6), Accent: rng.IntN(20), Foot: detect.Side(rng.IntN(4)), Paused: rng.IntN(4) == 0,
			})
		case rng.IntN(8) == 0:
			names := []string{event.CueCountdown, event.CueRepStart, event.CueReminder, event.CueQuicken, "", "nonsense"}
			call := event.Call{T: at, Due: value(at+1, 2), Name: names[rng.IntN(len(names))], Value: value(3, 1)}
			if in = append(in, call); rng.IntN(4) == 0 {
				in = append(in, event.Call{T: at, Due: call.Due, Name: event.CallOff, Line: call.Name})
			}
		}
	}
	checkSession(t, sharedSettings(), in)
}
