package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// BenchmarkStore measures what a coach waits for on a store of many sessions of an
// hour each: the list, one session on the terminal and as a page, and the trend of a
// season, the first time and later. STEADFOOT_SESSIONS is how many there are (40
// unless told); STEADFOOT_STORE names a file in which the store is kept from run to
// run, else it is made anew.
func BenchmarkStore(b *testing.B) {
	n := 40
	if text := os.Getenv("STEADFOOT_SESSIONS"); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil {
			b.Fatal(err)
		}
	}
	path := os.Getenv("STEADFOOT_STORE")
	if path == "" {
		path = filepath.Join(b.TempDir(), "log.db")
	}
	fillStore(b, path, n)
	std := stdio{nil, io.Discard, io.Discard}
	s, err := openForReview(path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	season := trendOptions{wanted: true, athlete: "Mira Tal", since: "2025-01-01", until: "2025-12-31"}
	measure := func(name string, f func() error) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := f(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	start := time.Now()
	if err := reviewTrend(std, s, reviewOptions{store: path, trend: season}); err != nil {
		b.Fatal(err)
	}
	b.Logf("%d sessions; the first trend took %.0f ms", n, float64(time.Since(start).Microseconds())/1000)
	measure("list", func() error { return reviewList(io.Discard, s, reviewOptions{}) })
	measure("open", func() error {
		h, info, events, err := wholeWalk(s, 1)
		if err != nil {
			return err
		}
		return printReview(io.Discard, reviewOptions{}, h, info, events)
	})
	measure("page", func() error {
		h, info, events, err := wholeWalk(s, 1)
		if err != nil {
			return err
		}
		return review.NewReport(h, info, events).WriteHTML(io.Discard)
	})
	measure("trend", func() error { return reviewTrend(std, s, reviewOptions{store: path, trend: season}) })
}

// fillStore makes n sessions of an hour in laps of 400 m over a year, unless they are
// there: some 300 for each athlete, as many as there must be athletes then.
func fillStore(t testing.TB, path string, n int) {
	t.Helper()
	s, err := logbook.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	list, err := s.Sessions()
	if err != nil {
		t.Fatal(err)
	}
	for k := len(list); k < n; k++ {
		name := "Mira Tal"
		if other := k % max(1, n/300); other > 0 {
			name = fmt.Sprintf("Walker %d", other)
		}
		settings, err := json.Marshal(coach.Settings{Athlete: name, Cadence: 190, Slow: 4, Quick: 4, StepLength: profiles.Constant(1.08), Policy: coach.DefaultPolicy()})
		if err != nil {
			t.Fatal(err)
		}
		w, err := s.Begin(logbook.Header{Started: time.Date(2025, 1, 1+k*365/max(n, 365), 7, 30, 0, 0, time.UTC), Athlete: name, Label: "track", Settings: settings})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range hour(uint64(k), float64(k)/float64(n)) {
			if err := w.Append(e); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
	}
}

// hour is an hour's walk in laps of 400 m: late in the season (0 to 1) the step is
// 2 cm longer.
func hour(seed uint64, season float64) []event.Event {
	r := rand.New(rand.NewPCG(seed, 7))
	events := []event.Event{event.Mark{Name: event.MarkStart}, event.Part{N: 1, Role: event.RoleFree}, event.Target{Cadence: 190, Low: 186, High: 194}}
	now, tick, side := 0.2, 0.0, detect.Left
	form, uneven := 0.008*r.NormFloat64(), 0.003+0.0005*r.NormFloat64() // of the day, m and s
	for begin := now; begin < 3600; {
		cadence := 190 * (1 + 0.02*r.NormFloat64())
		length := 1.08 + 0.02*season + form + 0.002*(cadence-190) + 0.004*r.NormFloat64()
		end := begin + 400/length/cadence*60
		for ; now < end; now += 60 / cadence * (1 + 0.01*r.NormFloat64()) {
			for ; tick+0.5 <= now; tick += 0.5 {
				events = append(events, event.Rhythm{Rhythm: detect.Rhythm{T: tick + 0.5, State: detect.Walking, Cadence: cadence + r.NormFloat64(), CadenceSD: 0.5,
					Unevenness: 2 + r.NormFloat64(), Variability: 1.2 + 0.1*r.NormFloat64(), Heard: 0.98}, Pace: coach.PaceOf(cadence, 1.08), Distance: 3.4 * tick})
			}
			events = append(events, event.Step{Step: detect.Step{T: now, Side: side, Confidence: r.Float64(), Heard: r.Float64() < 0.98}})
			if side = side.Other(); side == detect.Right {
				now += uneven
			}
		}
		events = append(events, event.Mark{T: end, Name: event.MarkLap}, event.Lap{T: end, Distance: 400, Time: end - begin, StepLength: length})
		begin = end
	}
	return append(events, event.Mark{T: now, Name: event.MarkEnd})
}
