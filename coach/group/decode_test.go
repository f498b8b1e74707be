package group

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// sent is one message of every kind, with the way it is read.
var sent = []struct {
	m    any
	read func([]byte) (any, error)
}{
	{Join{Kind: KindJoin, Version: 1, Word: "heron", Name: "Mira Tal", Group: "Seniors", Seat: "s", Agree: true, Way: "phone"}, DecodeMember},
	{Ping{Kind: KindPing, N: 3, T1: 1.5}, DecodeMember},
	{Status{Kind: KindStatus, At: 9, Hears: HearsWalking, Cadence: 180, SD: 1, Pace: 300, Uneven: -2, Off: -8, R: 0.9, N: 20, Fading: true, Clock: 1, Latency: 30}, DecodeMember},
	{Steps{Kind: KindSteps, Steps: []event.Step{{Step: detect.Step{T: 9.5, Side: detect.Right, Confidence: 0.5, Heard: true}}}}, DecodeMember},
	{Leave{Kind: KindLeave}, DecodeMember},
	{Key{Kind: KindKey, Version: 1, Key: "k", Spare: "a:1", Term: 2}, DecodeBoard},
	{Command{Kind: KindCommand, N: 4, Do: DoTarget, Group: "Seniors", Cadence: 180}, DecodeBoard},
	{Ping{Kind: KindPing, N: 3, T1: 1.5}, DecodeBoard},
	{Welcome{Kind: KindWelcome, ID: "i", Seat: "s", Name: "Mira Tal", Groups: []string{"Seniors"}, Map: Map{Group: "Seniors", Term: 1}}, DecodeHub},
	{Pong{Kind: KindPong, N: 3, T1: 1, T2: 2, T3: 3, Spread: 0.1}, DecodeHub},
	{Changed{Kind: KindMap, Map: Map{Group: "Seniors", Seq: 3, Beat: []event.Beat{{Start: 1, Period: 0.3}}}}, DecodeHub},
	{Sorry{Kind: KindSorry, Why: "w", Code: SorryWord}, DecodeHub},
	{Board{Kind: KindBoard, Now: 1, Walkers: []Walker{{ID: "i"}}}, DecodeHub},
	{Done{Kind: KindDone, N: 4, Why: "w"}, DecodeHub},
	{Rows{Kind: KindRows, Page: 1, Pages: 2, Walkers: []Walker{{ID: "i", Name: "Mira Tal", Last: Status{Hears: HearsStill}}}}, DecodeBoard},
	{Past{Kind: KindPast, Term: 2, Commands: []Command{{Do: DoStop}}}, DecodeHub},
}

func TestDecode(t *testing.T) {
	for _, s := range sent {
		b, err := json.Marshal(s.m)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(b), `{"kind":"`) {
			t.Errorf("%s: the kind is not first", b)
		}
		if back, err := s.read(b); err != nil || !reflect.DeepEqual(back, s.m) {
			t.Errorf("%s\nread back as %+v (%v)", b, back, err)
		}
	}
	for _, b := range []string{``, `{}`, `[]`, `{"kind":"dance"}`, `{"kind":7}`, `{"kind":"ping"} x`, `{"kind":"ping","t1":1e999}`} {
		for _, read := range []func([]byte) (any, error){DecodeMember, DecodeBoard, DecodeHub} {
			if m, err := read([]byte(b)); err == nil {
				t.Errorf("%q read as %+v", b, m)
			} else if strings.Contains(err.Error(), "\n") {
				t.Errorf("%q: more than one line: %v", b, err)
			}
		}
	}
	if _, err := DecodeMember([]byte(`{"kind":"command"}`)); err == nil {
		t.Error("a member commands")
	}
}

func TestChecks(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	const now = 1000
	good := Status{Hears: HearsWalking, At: now - 1, Clock: 1}
	if err := good.Check(now); err != nil {
		t.Error(err)
	}
	for _, change := range []func(*Status){
		func(s *Status) { s.At = nan },
		func(s *Status) { s.At = now + 6 },
		func(s *Status) { s.At = now - 601 },
		func(s *Status) { s.At, s.Clock = inf, 0 },
		func(s *Status) { s.Cadence = inf },
		func(s *Status) { s.SD = nan },
		func(s *Status) { s.Pace = -1 },
		func(s *Status) { s.Uneven = 201 },
		func(s *Status) { s.Off = nan },
		func(s *Status) { s.R = -0.1 },
		func(s *Status) { s.N = -1 },
		func(s *Status) { s.Clock = nan },
		func(s *Status) { s.Latency = inf },
		func(s *Status) { s.Hears = "" },
	} {
		s := good
		if change(&s); s.Check(now) == nil {
			t.Errorf("%+v is believed", s)
		}
	}
	if (Ping{T1: nan}).Check() == nil || (Ping{T1: -inf}).Check() == nil {
		t.Error("a ping from no time is answered")
	}
	for _, at := range []float64{nan, inf, now + 6, now - 601} {
		if (Steps{Steps: []event.Step{{Step: detect.Step{T: at}}}}).Check(now) == nil {
			t.Errorf("a step at %v s is believed", at)
		}
	}
	for _, c := range []Command{
		{Do: DoTarget, Cadence: nan}, {Do: DoTarget, Pace: inf}, {Do: DoShift, By: -401}, {Do: DoBeat, Every: -1},
		{Do: DoGroup, Group: strings.Repeat("a", MaxName+1)}, {Do: DoLapless}, {Do: DoTarget, Note: strings.Repeat("a", 201)},
	} {
		if c.Check() == nil {
			t.Errorf("%+v is obeyed", c)
		}
	}
	for _, do := range []string{DoTarget, DoShift, DoSession, DoStart, DoSkip, DoPause, DoResume, DoStop, DoBeatOn, DoBeatOff, DoBeat, DoGroup, DoMove, DoRemove} {
		if err := (Command{Do: do, Group: "Seniors", Walker: "i"}).Check(); err != nil {
			t.Error(err)
		}
	}
	for _, r := range []Rows{{}, {Page: 1, Pages: 1}, {Page: -1, Pages: 1}, {Pages: 101}, {Pages: 1, Walkers: make([]Walker, MaxRows+1)}} {
		if r.Check() == nil {
			t.Errorf("page %d of %d with %d walkers", r.Page, r.Pages, len(r.Walkers))
		}
	}
	r := Rows{Pages: 1, Walkers: []Walker{{Name: "a\u202eb", Hub: "elsewhere"}}}
	if err := r.Check(); err != nil || r.Walkers[0].Name != CleanName("a\u202eb") || r.Walkers[0].Hub != "" {
		t.Errorf("%+v, %v", r, err)
	}
	for _, k := range []Key{{Version: 2}, {Version: 1, Spare: "a b"}, {Version: 1, Spare: strings.Repeat("a", 201)}, {Version: 1, Term: 1}, {Version: 1, Spare: "a:1", Term: -1}} {
		if k.Check() == nil {
			t.Errorf("%+v", k)
		}
	}
}

// DoLapless is nothing that can be done.
const DoLapless = "lapless"

func FuzzDecodeMember(f *testing.F) { fuzzDecode(f, DecodeMember) }
func FuzzDecodeBoard(f *testing.F)  { fuzzDecode(f, DecodeBoard) }
func FuzzDecodeHub(f *testing.F)    { fuzzDecode(f, DecodeHub) }

// fuzzDecode: what can be read can be judged, and written and read again.
func fuzzDecode(f *testing.F, read func([]byte) (any, error)) {
	for _, s := range sent {
		b, err := json.Marshal(s.m)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := read(b)
		if err != nil {
			return
		}
		switch m := m.(type) {
		case interface{ Check() error }:
			_ = m.Check()
		case interface{ Check(float64) error }:
			_ = m.Check(1000)
		}
		again, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := read(again); err != nil {
			t.Errorf("%s: %v", again, err)
		} else if one, _ := json.Marshal(back); string(one) != string(again) {
			t.Errorf("%s, then %s", again, one)
		}
	})
}
