package logbook

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

func testHeader() Header {
	return Header{
		Started:  time.Date(2026, 5, 3, 7, 30, 0, 123456789, time.FixedZone("", 2*3600)),
		Athlete:  "Mira Tal",
		Label:    "Harrow Vale, easy 5",
		Settings: json.RawMessage(`{"target":192}`),
		Input:    "walk.wav",
		Output:   "none",
		Version:  "test",
	}
}

// walk makes the events of a session of so many seconds: steps and a rhythm
// every half second, with numbers that use all their bits.
func walk(seconds float64, seed uint64) []event.Event {
	r := rand.New(rand.NewPCG(seed, 1))
	events := []event.Event{event.Mark{Name: event.MarkStart}}
	side, next := detect.Left, 0.5
	for t := 0.3; t < seconds; t += 60 / 190.0 * (1 + 0.02*r.NormFloat64()) {
		for ; next < t; next += 0.5 {
			events = append(events, event.Rhythm{Rhythm: detect.Rhythm{T: next, State: detect.Walking,
				Cadence: 190 + r.NormFloat64(), CadenceSD: r.Float64(), Unevenness: r.NormFloat64(),
				Variability: r.Float64(), Heard: 0.9}, Pace: 300 + r.NormFloat64()})
		}
		events = append(events, event.Step{Step: detect.Step{T: t, Side: side, Confidence: r.Float64(), Heard: r.Float64() < 0.95}})
		side = side.Other()
	}
	return append(events,
		event.Gap{Gap: detect.Gap{T: 1, Length: 0.25, Reason: detect.GapLost}},
		event.Fault{T: 2, What: "microphone gone; plug it in again"},
		event.Beat{T: 2, Start: 2.01, Period: 60 / 192.0, Side: detect.Right},
		event.Cue{T: 3, Name: event.CueQuicken, Reason: "183 steps/min for 8 s, band 189 to 195"},
		event.Mark{T: seconds, Name: event.MarkEnd, Note: "häuptling\nsecond line"})
}

func openTemp(t testing.TB) (*Store, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, path
}

func begin(t testing.TB, s *Store) *Writer {
	t.Helper()
	w, err := s.Begin(testHeader())
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func appendAll(t testing.TB, w *Writer, events []event.Event) {
	t.Helper()
	for _, e := range events {
		if err := w.Append(e); err != nil {
			t.Fatal(err)
		}
	}
}

func readAll(t testing.TB, s *Store, id int64) []event.Event {
	t.Helper()
	var got []event.Event
	for e, err := range s.Events(id) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, e)
	}
	return got
}

// same compares to the bit: -0 and 0 differ.
func same(a, b event.Event) bool {
	ra, ok := a.(event.Rhythm)
	if rb, ok2 := b.(event.Rhythm); ok && ok2 {
		fa, fb := rhythmFloats(&ra, true), rhythmFloats(&rb, true)
		for i := range fa {
			if math.Float64bits(*fa[i]) != math.Float64bits(*fb[i]) {
				return false
			}
		}
		return ra.State == rb.State
	}
	return a == b && math.Signbit(a.At()) == math.Signbit(b.At())
}

func compare(t testing.TB, got, want []event.Event) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d events came back, want %d", len(got), len(want))
	}
	for i := range want {
		if !same(got[i], want[i]) {
			t.Fatalf("event %d came back as %#v, want %#v", i, got[i], want[i])
		}
	}
}
