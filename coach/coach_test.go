package coach

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

func testSettings() Settings {
	return Settings{Cadence: 192, Slow: 4, Quick: 4, Beat: BeatChoice{On: true}, Policy: DefaultPolicy()}
}

// odd holds the numbers that break careless arithmetic.
var odd = []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.Copysign(0, -1), -1, 1e300, -1e300, 1e7, 5e-324, math.MaxFloat64}

// decodeEvents makes a sequence of events of any bytes: mostly a plausible walk,
// with odd times, values and marks wherever the bytes want them.
func decodeEvents(data []byte) (events []event.Event) {
	t := 0.0
	for len(data) >= 4 {
		b := binary.LittleEndian.Uint32(data)
		data = data[4:]
		op, x, y, z := b&15, b>>4&255, b>>12&255, b>>20
		at := t
		switch {
		case x == 255:
			at = odd[y%uint32(len(odd))]
		case x == 254:
			at = t - float64(y)
		default:
			t += float64(x%8) / 4
			at = t
		}
		switch {
		case op == 0:
			names := []string{event.MarkStart, event.MarkEnd, event.MarkLap, "", "rep"}
			events = append(events, event.Mark{T: at, Name: names[y%5]})
		case op == 1:
			events = append(events, []event.Event{event.Step{Step: detect.Step{T: at}}, event.Gap{Gap: detect.Gap{T: at}}, event.Fault{T: at}, event.Cue{T: at}, event.Beat{T: at, Start: at, Period: 1}}[y%5])
		default:
			r := detect.Rhythm{T: at, State: detect.State(y % 5), Cadence: 160 + float64(z%64), CadenceSD: 0.5, Heard: 1}
			if z >= 4000 {
				r.Cadence = odd[z%uint32(len(odd))]
			} else if z >= 3900 {
				r.CadenceSD = odd[z%uint32(len(odd))]
			} else if z < 3000 {
				r.State = detect.Walking
			}
			events = append(events, event.Rhythm{Rhythm: r})
		}
	}
	return events
}

// checkSession plays events to a coach and checks what must hold whatever comes.
func checkSession(t *testing.T, events []event.Event) (log []event.Event) {
	t.Helper()
	set := testSettings()
	c, err := New(set)
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	var out []event.Event
	sounds, now := math.Inf(-1), 0.0
	for _, in := range events {
		out = c.Handle(out[:0], in)
		if event.IsInput(in) {
			log = append(log, in)
		}
		if at := in.At(); event.IsInput(in) && at >= 0 && at <= lastTime {
			now = max(now, at)
		}
		for _, e := range out {
			log = append(log, e)
			switch e := e.(type) {
			case event.Cue:
				if count[event.CueEnd] > 0 || count[event.CueStart] == 0 && e.Name != event.CueStart {
					t.Fatalf("%+v outside the session", e)
				}
				count[e.Name]++
				if !(e.T >= now+set.Policy.Lead) || !(e.T >= sounds+set.Policy.Span) || e.Reason == "" {
					t.Fatalf("%+v at %v, the one before at %v", e, now, sounds)
				}
				sounds = e.T
				r, _ := in.(event.Rhythm)
				if (e.Name == event.CueQuicken || e.Name == event.CueEase) && (r.State != detect.Walking || r.Cadence >= 188 && r.Cadence <= 196) {
					t.Fatalf("%+v after %+v", e, r)
				}
			case event.Beat:
				if e.T != now || !(e.Start >= now+set.Policy.Lead) {
					t.Fatalf("%+v at %v", e, now)
				}
			}
		}
	}
	if count[event.CueStart] > 1 || count[event.CueEnd] > 1 {
		t.Fatalf("cues %v", count)
	}
	if d := count[event.CueLost] - count[event.CueBack]; d != 0 && d != 1 {
		t.Fatalf("cues %v", count)
	}
	if st := c.Status(); st.State.String() == "unknown" {
		t.Fatalf("status %+v", st)
	}
	if diffs := Replay(set, slices.Values(log)); diffs != nil {
		t.Fatalf("replay: %v", diffs)
	}
	return log
}

// TestAnySequence runs the checks of the fuzz test over seeded sequences, and
// makes sure that they reach every cue there is.
func TestAnySequence(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	seen := map[string]bool{}
	for range 300 {
		data := make([]byte, 4*500)
		sticky := uint32(0)
		for i := 0; i < len(data); i += 4 {
			if i%80 == 0 {
				sticky = rng.Uint32() // the same state and cadence for a while
			}
			v := sticky&^0xfff | rng.Uint32()&0xfff
			if i == 0 {
				v = 0 // the start mark
			}
			binary.LittleEndian.PutUint32(data[i:], v)
		}
		for _, e := range checkSession(t, decodeEvents(data)) {
			if c, ok := e.(event.Cue); ok {
				seen[c.Name] = true
			}
		}
	}
	for _, name := range []string{event.CueStart, event.CueEnd, event.CueQuicken, event.CueEase, event.CueSettled, event.CueLost, event.CueBack} {
		if !seen[name] {
			t.Errorf("no sequence led to %q", name)
		}
	}
}

func FuzzHandle(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 2, 0, 0, 1, 0, 16, 0, 0})
	f.Add([]byte{0, 0, 0, 0, 0xf2, 0x0f, 0, 0, 0xf2, 0x1f, 0, 0, 0xf2, 0x6f, 0, 0})
	f.Add(slices.Repeat([]byte{0x22, 0, 0, 1}, 200))
	f.Fuzz(func(t *testing.T, data []byte) { checkSession(t, decodeEvents(data)) })
}

// TestOwnAnswers: what a coach said is not an input, and does not move its time.
func TestOwnAnswers(t *testing.T) {
	c, err := New(testSettings())
	if err != nil {
		t.Fatal(err)
	}
	out := c.Handle(nil, event.Cue{T: 50, Name: event.CueEnd})
	out = c.Handle(out, event.Beat{T: 50, Start: 50, Period: 0.3})
	out = c.Handle(out, event.Mark{T: 1, Name: event.MarkStart})
	if len(out) != 2 || out[1].At() != 1.25 {
		t.Errorf("got %v", out)
	}
}

func TestNewRefuses(t *testing.T) {
	s := testSettings()
	s.Cadence = 260
	if _, err := New(s); err == nil {
		t.Error("260 steps/min is taken")
	}
}

// TestStartBeat: the beat is steady at the target, after the start signal, with
// the chosen foot; without a beat there is none.
func TestStartBeat(t *testing.T) {
	s := testSettings()
	s.FirstFoot, s.Beat.Foot = detect.Right, detect.Left
	c, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	c.Handle(nil, event.Mark{T: 3, Name: event.MarkStart})
	beats := collect(c.Beats(), 0, 63)
	// The right foot's beat 0 at 5.25 s is not given, every second one is.
	if len(beats) != 92 || beats[0] != (Beat{T: 5.25 + 60.0/192, Index: 1, Side: detect.Left}) {
		t.Errorf("%d beats, first %+v", len(beats), beats[0])
	}
	c.Handle(nil, event.Mark{T: 63, Name: event.MarkEnd})
	if got := collect(c.Beats(), 63.25, 100); got != nil {
		t.Errorf("after the end: %v", got)
	}

	s.Beat.On = false
	if c, err = New(s); err != nil {
		t.Fatal(err)
	}
	if out := c.Handle(nil, event.Mark{T: 3, Name: event.MarkStart}); len(out) != 1 || len(c.Beats().Pieces()) != 0 {
		t.Errorf("without a beat: %v", out)
	}
}

func TestPaceOfCoach(t *testing.T) {
	s := testSettings()
	c, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Pace(192); got != 0 {
		t.Errorf("without a step length: %v", got)
	}
	s.StepLength = profiles.Curve{{Cadence: 180, Length: 1}, {Cadence: 200, Length: 1.1}}
	if c, err = New(s); err != nil {
		t.Fatal(err)
	}
	near(t, "pace", c.Pace(190), 60000/(190*1.05), 1e-9)
	if got := c.Pace(0); got != 0 {
		t.Errorf("standing: %v", got)
	}
}

// TestHandleAllocs: a tick without an answer costs no memory.
func TestHandleAllocs(t *testing.T) {
	c, err := New(testSettings())
	if err != nil {
		t.Fatal(err)
	}
	c.Handle(nil, event.Mark{T: 0, Name: event.MarkStart})
	var in event.Event = event.Rhythm{Rhythm: detect.Rhythm{T: 1, State: detect.Walking, Cadence: 192, CadenceSD: 0.5, Heard: 1}}
	dst := make([]event.Event, 0, 4)
	if n := testing.AllocsPerRun(100, func() { dst = c.Handle(dst[:0], in) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkHandle(b *testing.B) {
	c, err := New(testSettings())
	if err != nil {
		b.Fatal(err)
	}
	c.Handle(nil, event.Mark{T: 0, Name: event.MarkStart})
	var in event.Event = event.Rhythm{Rhythm: detect.Rhythm{T: 1, State: detect.Walking, Cadence: 192, CadenceSD: 0.5, Heard: 1}}
	dst := make([]event.Event, 0, 4)
	b.ReportAllocs()
	for b.Loop() {
		dst = c.Handle(dst[:0], in)
	}
}
