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

// codes are those of faults: none, each there is, and one nobody knows.
var codes = []string{"", event.FaultMuted, event.FaultQuiet, event.FaultClipped, event.FaultWind, event.FaultBattery, event.FaultLog, "of a later version"}

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
			names := []string{event.MarkStart, event.MarkEnd, event.MarkLap, "", "rep", event.MarkPause, event.MarkResume,
				event.MarkTarget, event.MarkBeatOff, event.MarkBeatOn, event.MarkSkip, event.MarkTarget}
			events = append(events, event.Mark{T: at, Name: names[y%12], Value: float64(z)/400 - 5})
		case op == 1:
			events = append(events, []event.Event{event.Step{Step: detect.Step{T: at, Side: detect.Side(z % 3), Heard: true}}, event.Gap{Gap: detect.Gap{T: at}}, event.Fault{T: at, Code: codes[z%uint32(len(codes))]}, event.Cue{T: at}, event.Beat{T: at, Start: at, Period: 1}}[y%5])
		default:
			r := detect.Rhythm{T: at, State: detect.State(y % 5), Cadence: 160 + float64(z%64), CadenceSD: 0.5, Heard: 1}
			if x%16 == 15 {
				r.Unevenness = float64(z%32) - 16
			}
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

// advice are the cues that a coach gives of its own accord.
var advice = []string{event.CueQuicken, event.CueEase, event.CueSettled, event.CueHold, event.CueFade, event.CueUneven, event.CueCadence}

// checkSession plays events to a coach and checks what must hold whatever comes.
func checkSession(t *testing.T, set Settings, events []event.Event) (log []event.Event) {
	t.Helper()
	c, err := New(set)
	if err != nil {
		t.Fatal(err)
	}
	k := checks{t: t, set: set, c: c, count: map[string]int{}, free: math.Inf(-1), told: map[string]float64{}}
	var out []event.Event
	for _, in := range events {
		if r, ok := in.(event.Rhythm); ok {
			r.Pace, r.Distance = c.Pace(r.Cadence), c.Distance()
			in = r
		}
		out = c.Handle(out[:0], in)
		if !event.IsInput(in) {
			continue
		}
		if at := in.At(); at >= 0 && at <= lastTime {
			k.now = max(k.now, at)
		}
		log = append(append(log, in), out...)
		for _, e := range out {
			switch e := e.(type) {
			case event.Cue:
				k.cue(in, e)
			case event.Beat:
				k.beat(e)
			}
		}
	}
	k.end()
	if diffs := Replay(set, slices.Values(log)); diffs != nil {
		t.Fatalf("replay: %v", diffs)
	}
	return log
}

type checks struct {
	t     *testing.T
	set   Settings
	c     *Coach
	now   float64
	free  float64 // when the last cue is over
	count map[string]int
	given []float64          // times of advice
	deaf  bool               // it was said that nothing is heard, and not that it is again
	told  map[string]float64 // when each word about a fault was said last, s
}

func (k *checks) cue(in event.Event, e event.Cue) {
	k.t.Helper()
	begun := k.count[event.CueStart] > 0 || k.set.Beat.Mode == Shared // a group's start is the leader's to say
	if k.count[event.CueEnd] > 0 || !begun && e.Name != event.CueStart {
		k.t.Fatalf("%+v outside the session", e)
	}
	k.count[e.Name]++
	if !(e.T >= k.now+k.set.Policy.Lead) || !(e.T >= k.free) || e.Reason == "" {
		k.t.Fatalf("%+v at %v, the one before lasts until %v", e, k.now, k.free)
	}
	k.free = e.T + k.set.Policy.Span
	k.fault(in, e)
	if !slices.Contains(advice, e.Name) {
		return
	}
	k.given = append(k.given, e.T)
	if n := len(k.given); n > 3 && e.T < k.given[n-4]+60 {
		k.t.Fatalf("four cues within a minute: %v", k.given[n-4:])
	}
	r, ok := in.(event.Rhythm)
	target, low, high := k.c.goal.cadence, k.c.goal.low, k.c.goal.high
	if !ok || k.c.paused || r.State != detect.Walking || target == 0 ||
		(e.Name == event.CueQuicken && !(r.Cadence < low)) || (e.Name == event.CueEase && !(r.Cadence > high)) {
		k.t.Fatalf("%+v after %+v", e, in)
	}
}

// fault checks the words for faults, and those for hearing, for which some of
// them stand.
func (k *checks) fault(in event.Event, e event.Cue) {
	k.t.Helper()
	switch {
	case e.Name == event.CueBack:
		if !k.deaf {
			k.t.Fatalf("%+v, and it was never said that nothing is", e)
		}
		k.deaf = false
	case e.Name == event.CueLost:
		if k.deaf {
			k.t.Fatalf("%+v is said twice, or besides the word that says why", e)
		}
		if i := slices.IndexFunc(k.c.voice.queue, func(w wish) bool { return isHearing(w.cue.Name) }); i >= 0 {
			k.t.Fatalf("%+v, while %q waits", e, k.c.voice.queue[i].cue.Name)
		}
		k.deaf = true
	case isOwnWord(e.Name):
		if last, ok := k.told[e.Name]; ok && k.now < last+faultGap {
			k.t.Fatalf("%+v at %v, and before at %v", e, k.now, last)
		}
		k.told[e.Name] = k.now
		k.deaf = k.deaf || isHearing(e.Name)
		if r, ok := in.(event.Rhythm); ok && isHearing(e.Name) && r.State == detect.Walking && r.Heard >= k.set.Policy.MinHeard {
			k.t.Fatalf("%+v after %+v", e, in)
		}
	}
}

func (k *checks) beat(e event.Beat) {
	k.t.Helper()
	if e.T != k.now || !(e.Start >= k.now+k.set.Policy.Lead) || e.Level > 0 || k.c.paused && e.Period != 0 && k.set.Beat.Mode != Shared {
		k.t.Fatalf("%+v at %v", e, k.now)
	}
	if p := e.Period; p != 0 && !(p > 0.9*60/480 && p < 1.1*60/detect.Slowest) {
		k.t.Fatalf("%+v", e)
	}
}

func (k *checks) end() {
	k.t.Helper()
	if k.count[event.CueStart] > 1 || k.count[event.CueEnd] > 1 {
		k.t.Fatalf("cues %v", k.count)
	}
	if st := k.c.Status(); st.State.String() == "unknown" || st.Level > 0 || math.IsNaN(st.Distance) {
		k.t.Fatalf("status %+v", st)
	}
}

// settingsOf makes settings of a number: all modes, and policies without mercy.
func settingsOf(n int) Settings {
	s := testSettings()
	s.StepLength = profiles.Constant(1.05)
	s.Beat.Mode, s.Ahead = modes[n%4], 0.03
	switch n / 4 % 3 {
	case 1:
		s.Beat.Every, s.Beat.Accent = 4, 2
	case 2:
		s.Beat.Foot = detect.Left
	}
	if n/12%2 == 1 {
		p := &s.Policy
		p.Quiet, p.Leave, p.Stay, p.MinGap, p.Fade, p.SettleGap, p.Patience, p.Turn, p.Grace = 0, 0, 0, 1, 1, 0, 0, 0, 0
		p.Tell, p.FallGap, p.Uneven, p.UnevenStay, p.UnevenGap, p.Hold, p.Falling, p.FallBy = 1, 0, 0.5, 0, 0, 20, 30, 0.1
	}
	return s
}

// TestAnySequence runs the checks of the fuzz test over seeded sequences, and
// makes sure that they reach every cue that needs no plan.
func TestAnySequence(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	seen := map[string]bool{}
	for n := range 300 {
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
		for _, e := range checkSession(t, settingsOf(n), decodeEvents(data)) {
			if c, ok := e.(event.Cue); ok {
				seen[c.Name] = true
			}
		}
	}
	for range 24 {
		for n := range 24 {
			for _, e := range checkSession(t, settingsOf(n), wander(rng)) {
				if c, ok := e.(event.Cue); ok {
					seen[c.Name] = true
				}
			}
		}
	}
	for _, name := range append(advice, event.CueStart, event.CueEnd, event.CueLost, event.CueBack, event.CueFault, event.CuePaused, event.CueResumed,
		event.CueMuted, event.CueQuiet, event.CueClipped, event.CueWind, event.CueBattery) {
		if !seen[name] {
			t.Errorf("no sequence led to %q", name)
		}
	}
}

// wander is five minutes of a cadence that drifts, swings and scatters.
func wander(rng *rand.Rand) []event.Event {
	in := []event.Event{event.Mark{T: 0, Name: event.MarkStart}}
	drift, swing, every, noise := 6*rng.Float64()-3, 12*rng.Float64()*rng.Float64(), 10+60*rng.Float64(), rng.Float64()
	for t := 0.5; t < 300; t += 0.5 {
		c := 192 + drift*(t/100-1) + swing*math.Sin(2*math.Pi*t/every) + noise*rng.NormFloat64()
		in = append(in,
			event.Step{Step: detect.Step{T: t - 0.2, Heard: true}},
			event.Rhythm{Rhythm: detect.Rhythm{T: t, State: detect.Walking, Cadence: c, CadenceSD: 0.5, Heard: 1, Unevenness: 3 * drift}})
	}
	return append(in, event.Mark{T: 300, Name: event.MarkEnd})
}

func FuzzHandle(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 0, 2, 0, 0, 1, 0, 16, 0, 0})
	f.Add([]byte{14, 0, 0, 0, 0, 0xf2, 0x0f, 0, 0, 0xf2, 0x1f, 0, 0, 0xf2, 0x6f, 0, 0})
	f.Add(append([]byte{12}, slices.Repeat([]byte{0x22, 0, 0, 1}, 200)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		n := 0
		if len(data) > 0 {
			n, data = int(data[0]), data[1:]
		}
		checkSession(t, settingsOf(n), decodeEvents(data))
	})
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
	if len(out) != 4 || out[3].At() != 1.25 {
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
	// The right foot's beat 0 at 3.25 s is not given, every second one is.
	if len(beats) != 96 || beats[0] != (Beat{T: 3.25 + 60.0/192, Index: 1, Side: detect.Left}) {
		t.Errorf("%d beats, first %+v", len(beats), beats[0])
	}
	c.Handle(nil, event.Mark{T: 63, Name: event.MarkEnd})
	if got := collect(c.Beats(), 63.25, 100); got != nil {
		t.Errorf("after the end: %v", got)
	}

	s.Policy.AtOnce = false // as in walks stored before there was a choice
	if c, err = New(s); err != nil {
		t.Fatal(err)
	}
	c.Handle(nil, event.Mark{T: 3, Name: event.MarkStart})
	if beats := collect(c.Beats(), 0, 6); len(beats) == 0 || beats[0].T != 5.25+60.0/192 {
		t.Errorf("not at once: %v", beats)
	}

	s.Beat.On = false
	if c, err = New(s); err != nil {
		t.Fatal(err)
	}
	c.Handle(nil, event.Mark{T: 3, Name: event.MarkStart})
	if got := c.Beats().Pieces(); len(got) != 0 {
		t.Errorf("without a beat: %v", got)
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

// rightWalk is a walk on the beat at 192, in the order in which it is told.
func rightWalk(seconds float64) (in []event.Event) {
	in = append(in, event.Mark{T: 0, Name: event.MarkStart})
	side, next := detect.Left, 1.0
	for tick := 0.5; tick < seconds; tick += 0.5 {
		for ; next <= tick; next += 0.3125 {
			in = append(in, event.Step{Step: detect.Step{T: next, Side: side, Confidence: 1, Heard: true}})
			side = side.Other()
		}
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: tick, State: detect.Walking, Cadence: 192, CadenceSD: 0.5, Heard: 1}})
	}
	return in
}

// TestHandleAllocs: steps and ticks without an answer cost no memory, in no mode.
func TestHandleAllocs(t *testing.T) {
	for _, mode := range modes {
		s := testSettings()
		s.Beat.Mode, s.StepLength = mode, profiles.Constant(1.05)
		c := newTestCoach(t, s)
		in := rightWalk(110)
		dst := make([]event.Event, 0, 8)
		i := 0
		hand := func() {
			dst = c.Handle(dst[:0], in[i])
			i++
		}
		for i < 200 {
			hand()
		}
		if n := testing.AllocsPerRun(200, hand); n != 0 || c.Status().State != InBand {
			t.Errorf("%s: %v allocations, %v", mode, n, c.Status().State)
		}
	}
}

func BenchmarkHandle(b *testing.B) {
	in := rightWalk(600)
	dst := make([]event.Event, 0, 8)
	var c *Coach
	b.ReportAllocs()
	for i := 0; b.Loop(); i = (i + 1) % len(in) {
		if i == 0 {
			var err error
			if c, err = New(testSettings()); err != nil {
				b.Fatal(err)
			}
		}
		dst = c.Handle(dst[:0], in[i])
	}
}

// TestFreePart: in a part without a target there is no beat and no advice,
// whatever the walker does; with the rep both come.
func TestFreePart(t *testing.T) {
	s := testSettings()
	s.Policy.Tell, s.Policy.Hold = 1, 20
	s.Plan = &profiles.Plan{Name: "short", Parts: []profiles.PlanPart{
		{Role: profiles.PlanWarmUp, Duration: 150},
		{Role: profiles.PlanRep, Set: 1, Rep: 1, Of: 1, Duration: 60, Targets: []profiles.PlanPoint{{Target: profiles.PlanTarget{Cadence: 192}}}},
	}}
	c := newTestCoach(t, s)
	var got []string
	for _, e := range append([]event.Event{event.Mark{T: 0, Name: event.MarkStart}}, constantly(170, 178)...) {
		for _, a := range c.Handle(nil, e) {
			switch a := a.(type) {
			case event.Cue:
				got = append(got, a.Name)
			case event.Beat:
				if a.Period > 0 {
					got = append(got, "beat")
				}
			}
		}
		if st := c.Status(); c.now == 100 && (st.State != Free || st.Target != 0 || st.Beat || st.Part.Role != event.RoleWarmUp) {
			t.Fatalf("status %+v", st)
		}
	}
	want := []string{event.CueStart, event.CueCountdown, event.CueRepStart, "beat", event.CueUneven, event.CueQuicken, event.CueCadence}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if st := c.Status(); st.State != TooSlow || st.Target != 192 || !st.Beat || st.Part.Role != event.RoleRep || st.Cadence != 170 || st.Low != 188 || st.Said.Name != event.CueCadence {
		t.Errorf("status %+v", st)
	}
}

// constantly is a walk at one cadence that is nowhere near the target, uneven.
func constantly(cadence, seconds float64) (in []event.Event) {
	for t := 0.5; t < seconds; t += 0.5 {
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: t, State: detect.Walking, Cadence: cadence, CadenceSD: 0.5, Heard: 1, Unevenness: 8}})
	}
	return in
}
