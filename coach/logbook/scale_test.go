package logbook

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// manySessions opens a store of so many sessions of an hour each, of 40 athletes
// over some years, with settings as long as those of a session with a plan. One is
// walked; the others are copies of it under names of their own. The number is
// STEADFOOT_SESSIONS, 20 without it; STEADFOOT_SCALE_STORE names a file to keep the
// store in, and to take it from when it is there.
func manySessions(b *testing.B) (s *Store, path string, n int) {
	b.Helper()
	n = 20
	if text := os.Getenv("STEADFOOT_SESSIONS"); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil || n < 1 {
			b.Fatalf("STEADFOOT_SESSIONS=%q: want a number", text)
		}
	}
	if path = os.Getenv("STEADFOOT_SCALE_STORE"); path == "" {
		path = filepath.Join(b.TempDir(), "log.db")
	}
	build := noFile(path)
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	if build {
		buildMany(b, s, n)
	}
	return s, path, n
}

func buildMany(b *testing.B, s *Store, n int) {
	b.Helper()
	h := testHeader()
	h.Plan = "Kilometres"
	h.Settings, _ = json.Marshal(map[string]string{"plan": strings.Repeat("8 x 1 km at 192 ", 150)})
	w, err := s.Begin(h)
	if err != nil {
		b.Fatal(err)
	}
	appendAll(b, w, walk(3600, 1))
	if err := w.End(); err != nil {
		b.Fatal(err)
	}
	for at := 2; at <= n; at += 50 {
		tx, err := s.db.Begin()
		if err != nil {
			b.Fatal(err)
		}
		for i := at; i < min(at+50, n+1); i++ {
			started := h.Started.AddDate(0, 0, i/10).Add(time.Duration(i%10) * time.Hour).UnixNano()
			columns := strings.Replace(sessionColumns, "uid, started, zone, athlete, label,", "", 1)
			_, err := tx.Exec(`INSERT INTO session (id, uid, started, zone, athlete, label,`+columns+`)
				SELECT ?, lower(hex(randomblob(16))), ?, zone, ?, ?,`+columns+` FROM session WHERE id = 1`,
				i, started, fmt.Sprintf("Athlete %d", i%40), fmt.Sprintf("Tuesday %d", i/10))
			if err == nil {
				_, err = tx.Exec(`INSERT INTO settings SELECT ?, data FROM settings WHERE session = 1`, i)
			}
			if err == nil {
				_, err = tx.Exec(`INSERT INTO chunk SELECT ?, first, n, data FROM chunk WHERE session = 1`, i)
			}
			if err != nil {
				b.Fatal(err)
			}
		}
		if err := tx.Commit(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkScale is what a coach waits for: the list, parts of it, and one session
// with every event. bytes/step is the file's size by all steps in it.
func BenchmarkScale(b *testing.B) {
	s, path, n := manySessions(b)
	list, err := s.Sessions()
	if err != nil || len(list) != n {
		b.Fatalf("%d sessions, %v", len(list), err)
	}
	steps := 0
	for _, i := range list {
		steps += i.Steps
	}
	if _, err := s.db.Exec(`PRAGMA wal_checkpoint(TRUNCATE)`); err != nil {
		b.Fatal(err)
	}
	st, err := os.Stat(path)
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name string
		f    Filter
	}{
		{"list", Filter{}},
		{"newest20", Filter{Limit: 20}},
		{"athlete", Filter{Athlete: "athlete 7"}},
		{"text", Filter{Text: "day 1"}},
		{"tag", Filter{Tags: []string{"drill"}}},
		{"month", Filter{From: list[n/2].Started, Before: list[n/2].Started.AddDate(0, 1, 0)}},
		{"deleted", Filter{Deleted: true}},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Find(c.f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("athletes", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Athletes(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("open", func(b *testing.B) {
		defer b.ReportMetric(float64(st.Size())/float64(steps), "bytes/step")
		i := 0
		for b.Loop() {
			id := list[i*7919%n].ID
			i++
			if _, _, err := s.Session(id); err != nil {
				b.Fatal(err)
			}
			events := 0
			for _, err := range s.Events(id) {
				if err != nil {
					b.Fatal(err)
				}
				events++
			}
			if events < 10000 {
				b.Fatalf("%d events", events)
			}
		}
	})
}

// BenchmarkTogether has each of many sessions store a second of a walk, until all of
// it is on the disk: what a leader's store does in a second. No more than flushEvery
// comes of waiting for the writers' ticks.
func BenchmarkTogether(b *testing.B) {
	for _, n := range []int{1, 200, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			s, _ := openTemp(b)
			all := make([]*Writer, n)
			for i := range all {
				all[i] = begin(b, s)
			}
			second := walk(2, 1)[:7]
			for b.Loop() {
				for _, w := range all {
					appendAll(b, w, second)
				}
				for _, w := range all {
					for w.Waiting() > 0 {
						time.Sleep(time.Millisecond)
					}
				}
			}
		})
	}
}
