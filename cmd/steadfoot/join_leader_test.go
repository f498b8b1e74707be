package main

import (
	"context"
	"math"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/follow"
	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// fakeLeader is a link to a leader whose clock runs 80 millionths faster than the
// machine's, and is estimated a little better all the time.
type fakeLeader struct {
	m       group.Map
	now     float64 // the machine's clock, s
	away    bool
	reports []group.Status
	steps   []event.Step
}

const (
	leaderAhead = 700.25 // s
	leaderFast  = 80e-6
)

// error is by how much the estimate is off now, s: 2 ms at first, then less.
func (f *fakeLeader) error() float64 { return 0.002 * math.Exp(-f.now/20) * math.Cos(f.now/3) }

func (f *fakeLeader) Map() (group.Map, bool) { return f.m, true }
func (f *fakeLeader) Known() bool            { return true }
func (f *fakeLeader) Connected() bool        { return !f.away }
func (f *fakeLeader) Spread() clock.Spread   { return clock.Spread{Guess: 0.001} }
func (f *fakeLeader) Report(s group.Status)  { f.reports = append(f.reports, s) }
func (f *fakeLeader) Steps(s []event.Step)   { f.steps = append(f.steps, s...) }
func (f *fakeLeader) GroupAt(local float64) float64 {
	return leaderAhead + local*(1+leaderFast) + f.error()
}
func (f *fakeLeader) LocalAt(at float64) float64 {
	return (at - leaderAhead - f.error()) / (1 + leaderFast)
}

// crystal is a sound card 60 millionths slower than the machine's clock, which was
// started 3 s before the session.
type crystal struct{}

func (crystal) SessionAt(mono time.Duration) (float64, bool) {
	return (mono.Seconds() - 3) * (1 - 60e-6), true
}

// tapeSource is a recording as a microphone gives it.
type tapeSource struct {
	samples []float32
	at      int
}

func (s *tapeSource) Rate() int    { return audio.Rate }
func (s *tapeSource) Close() error { return nil }
func (s *tapeSource) Read(b *audio.Block) error {
	if s.at == len(s.samples) {
		return context.Canceled
	}
	end := min(s.at+480, len(s.samples))
	*b = audio.Block{Index: int64(s.at), Samples: s.samples[s.at:end]}
	s.at = end
	return nil
}

// earpiece keeps what is played.
type earpiece struct{ frames []audio.Frame }

func (e *earpiece) Write(f []audio.Frame) error { e.frames = append(e.frames, f...); return nil }
func (e *earpiece) Close() error                { return nil }

type ledger []event.Event

func (l *ledger) Append(e event.Event) error { *l = append(*l, e); return nil }

// groupWalk is a walk of 40 s with a group whose leader has the beat at 192 from 5 s
// on and at 196 from 20 s, and is out of reach from 22 to 30 s.
func groupWalk(t *testing.T, change func(*fakeLeader, *party)) (*fakeLeader, *party, *ledger, *earpiece) {
	t.Helper()
	at := func(session float64) float64 { return leaderAhead + (3+session)*(1+leaderFast) }
	first := event.Beat{Start: at(5), Period: 60 / 192.0, Side: detect.Right}
	second := event.Beat{Start: first.Start + 48*first.Period, Period: 60 / 196.0, Side: detect.Right, N: 48}
	f := &fakeLeader{m: group.Map{
		Group: "seniors", State: group.Walking, Choice: coach.BeatChoice{On: true}, Beat: []event.Beat{first, second},
		Target: event.Target{T: at(5), Cadence: 192, Low: 188, High: 196}, Coming: event.Target{T: second.Start, Cadence: 196, Low: 192, High: 200},
		Part: event.Part{T: at(5), N: 1, Role: event.RoleRep, Rep: 1, Of: 2}, Next: event.Part{T: at(35), N: 2, Role: event.RoleRecovery}, Ends: at(35),
		Says: []event.Cue{{T: at(5), Name: event.CueRepStart}, {T: at(30), Name: event.CueReminder, Line: "hips"}},
	}}
	set := coach.Settings{Cadence: 180, Slow: 4, Quick: 4, Beat: coach.BeatChoice{On: true, Mode: coach.Shared}, Policy: coach.DefaultPolicy()}
	c, err := coach.New(set)
	if err != nil {
		t.Fatal(err)
	}
	walked := made.Spec{Seed: 5, Duration: 40, Gait: made.Gait{Cadence: made.Steady(192), JitterCV: 1.5, Start: 1}, Surface: footsteps.Surface("gravel")}.Walk()
	ear, err := live.NewSoundEar(&tapeSource{samples: walked.Samples}, detect.Left)
	if err != nil {
		t.Fatal(err)
	}
	player, err := cue.NewPlayer(cue.Options{Volume: cue.DefaultVolume})
	if err != nil {
		t.Fatal(err)
	}
	log, out := new(ledger), new(earpiece)
	w := &live.Walk{Ear: ear, Coach: c, Log: log, Player: player, Sink: out, Lead: playAhead, Latency: 0.02, Length: 39,
		Silent: map[string]bool{event.CueStart: true, event.CueRepStart: true, event.CueReminder: true, event.CueEnd: true, event.CueQuicken: true, event.CueEase: true, event.CueSettled: true}}
	p := &party{link: f, clock: func() time.Duration { return time.Duration(f.now * 1e9) }, session: crystal{}, walk: w}
	p.news.lead, p.news.sessionOf = set.Policy.Lead, p.sessionOf
	p.report = reporter{coach: c, meter: follow.New(c.Beats()), latency: 0.02}
	if change != nil {
		change(f, p)
	}
	w.Led = func(dst []event.Event, now float64) []event.Event {
		f.now = 3 + now/(1-60e-6)
		f.away = now > 22 && now < 30
		return p.led(dst, now)
	}
	p.watch(w)
	if err := w.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	return f, p, log, out
}

// onset is the first sample at half the peak of what sounds around a sample.
func onset(frames []audio.Frame, around int) int {
	loud := func(f audio.Frame) float64 { return math.Max(math.Abs(float64(f[0])), math.Abs(float64(f[1]))) }
	from, to := max(around-2000, 0), min(around+4000, len(frames))
	peak := 0.0
	for _, f := range frames[from:to] {
		peak = math.Max(peak, loud(f))
	}
	for i := from; i < to; i++ {
		if peak > 0.001 && loud(frames[i]) >= 0.499*peak {
			return i
		}
	}
	return -1
}

// TestPartyBeats: each beat of the leader sounds, once, at the sample where the map
// has it, and the map has it where the clocks do, within what they may move before
// it is told anew.
func TestPartyBeats(t *testing.T) {
	f, _, log, out := groupWalk(t, nil)
	var m coach.BeatMap
	for _, e := range *log {
		m.Take(e)
	}
	n := 0
	m.Between(0, 38, func(b coach.Beat) {
		want := int(math.Round((b.T - 0.02) * audio.Rate))
		if got := onset(out.frames, want); math.Abs(float64(got-want)) > 1 {
			t.Errorf("beat %d at %.4f s: heard at sample %d, want %d", n, b.T, got, want)
		}
		piece := f.m.Beat[0]
		if n >= 48 {
			piece = f.m.Beat[1]
		}
		f.now = 3 + (b.T-0.3)/(1-60e-6)
		s, _ := crystal{}.SessionAt(time.Duration(f.LocalAt(piece.Start+float64(n-piece.N)*piece.Period) * 1e9))
		if math.Abs(s-b.T) > 0.0006 || b.Side == detect.Unknown {
			t.Errorf("beat %d at %.5f s, the clocks have it at %.5f", n, b.T, s)
		}
		n++
	})
	if n < 104 {
		t.Errorf("%d beats", n)
	}
	shared := 0
	for _, e := range *log {
		if _, ok := e.(event.Shared); ok {
			shared++
		}
	}
	if shared > 60 {
		t.Errorf("told anew %d times in 39 s", shared)
	}
}

// TestPartyTells: the target, the parts and the announcements come at their times,
// the lost leader is told once, and the leader hears of the walker but has the steps
// only by agreement.
func TestPartyTells(t *testing.T) {
	for _, agree := range []bool{false, true} {
		f, p, log, _ := groupWalk(t, func(_ *fakeLeader, p *party) { p.agree = agree })
		times := map[string]float64{}
		notes := 0
		for _, e := range *log {
			switch e := e.(type) {
			case event.Part:
				times[e.Role] = e.T
			case event.Target:
				times[map[float64]string{192: "192", 196: "196"}[e.Cadence]] = e.T
			case event.Cue:
				times[e.Name] = e.T
			case event.Mark:
				if e.Name == markGroup {
					notes++
				}
			case event.Fault:
				t.Errorf("%+v", e)
			}
		}
		for name, want := range map[string]float64{event.RoleRep: 5, event.RoleRecovery: 35, "192": 5, "196": 20, event.CueRepStart: 5, event.CueReminder: 30} {
			if got := times[name]; math.Abs(got-want) > 0.05 {
				t.Errorf("%s at %v s, want %v", name, got, want)
			}
		}
		if notes != 2 {
			t.Errorf("%d words about the leader", notes)
		}
		if n := len(f.reports); n < 30 || n > 41 || f.reports[20].Hears != group.HearsWalking || math.Abs(f.reports[15].Cadence-192) > 2 || f.reports[15].N == 0 {
			t.Errorf("%d reports, %+v", n, f.reports[min(15, n-1)])
		}
		if steps := len(f.steps); agree != (steps > 100) || !agree && steps > 0 {
			t.Errorf("%d steps, agreed: %v", steps, agree)
		}
		if s := p.shown(); s.Name != "seniors" || s.Lost || s.Clock != 1 {
			t.Errorf("%+v", s)
		}
	}
}

func TestParseLeader(t *testing.T) {
	for in, want := range map[string][2]string{
		"192.168.1.20:8470":                    {"ws://192.168.1.20:8470", ""},
		"http://192.168.1.20:8470/#word=ba+42": {"ws://192.168.1.20:8470", "ba 42"},
		"https://coach.local:8470/?word=bagi":  {"wss://coach.local:8470", "bagi"},
		"[fe80::1]:8470":                       {"ws://[fe80::1]:8470", ""},
	} {
		if hub, word, err := parseLeader(in); err != nil || hub != want[0] || word != want[1] {
			t.Errorf("%s: %q, %q, %v", in, hub, word, err)
		}
	}
	for _, in := range []string{"", "ftp://x:1", "http://", "http://user:pw@x:1", "::::"} {
		if _, _, err := parseLeader(in); err == nil {
			t.Errorf("%q is taken", in)
		}
	}
}

func FuzzParseLeader(f *testing.F) {
	f.Add("192.168.1.20:8470")
	f.Add("http://x:1/#word=%")
	f.Fuzz(func(t *testing.T, in string) { parseLeader(in) })
}
