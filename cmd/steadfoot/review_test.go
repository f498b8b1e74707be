package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// reviewStore makes a store with two walks of two minutes, the second with
// other answers than the coach's when forged.
func reviewStore(t *testing.T, path string, forged bool) {
	t.Helper()
	set := coach.Settings{Athlete: "Mira Tal", Cadence: 192, Slow: 4, Quick: 4, Beat: coach.BeatChoice{On: true},
		StepLength: profiles.Constant(1.05), Policy: coach.DefaultPolicy()}
	settings, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	s, err := logbook.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	for day := range 2 {
		w, err := s.Begin(logbook.Header{Started: time.Date(2026, 5, 3+day, 7, 30, 0, 0, time.UTC),
			Athlete: "Mira Tal", Label: "Harrow Vale", Settings: settings})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range coached(t, set) {
			if c, ok := e.(event.Cue); ok && forged && c.Name == event.CueQuicken {
				continue
			}
			if err := w.Append(e); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

// coached is a walk at 183 and then at 192 steps/min, with the coach's answers.
func coached(t *testing.T, set coach.Settings) []event.Event {
	t.Helper()
	c, err := coach.New(set)
	if err != nil {
		t.Fatal(err)
	}
	in := []event.Event{event.Mark{Name: event.MarkStart}}
	next, side := 0.1, detect.Left
	for tick := 1; tick <= 240; tick++ {
		now := float64(tick) / 2
		cadence := 183.0
		if tick > 120 {
			cadence = 192
		}
		for ; next < now; next += 60 / cadence {
			in = append(in, event.Step{Step: detect.Step{T: next, Side: side, Confidence: 0.9, Heard: true}})
			side = side.Other()
		}
		in = append(in, event.Rhythm{Rhythm: detect.Rhythm{T: now, State: detect.Walking, Cadence: cadence,
			CadenceSD: 0.3, Heard: 1}})
	}
	in = append(in, event.Mark{T: 120, Name: event.MarkEnd})
	var all []event.Event
	for _, e := range in {
		if r, ok := e.(event.Rhythm); ok {
			r.Pace, r.Distance = c.Pace(r.Cadence), c.Distance()
			e = r
		}
		all = c.Handle(append(all, e), e)
	}
	return all
}

// reviewRun runs the command and returns its exit status and what it wrote.
func reviewRun(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = run(context.Background(), stdio{strings.NewReader(""), &o, &e}, append([]string{"review"}, args...))
	return status, o.String(), e.String()
}

func TestReview(t *testing.T) {
	dir := t.TempDir()
	good, forged := filepath.Join(dir, "good.db"), filepath.Join(dir, "forged.db")
	reviewStore(t, good, false)
	reviewStore(t, forged, true)
	garbage := filepath.Join(dir, "garbage.db")
	if err := os.WriteFile(garbage, []byte("this is a diary, not a store"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args   string
		status int
		out    string // part of it
		err    string // part of it; "" means nothing at all
	}{
		{"--store " + good, exitDone, "   2  2026-05-04 07:30      2:00     375  Mira Tal         Harrow Vale\n   1  2026-05-03", ""},
		{"--store " + good + " --json", exitDone, `{"kind":"session","id":2,"started":"2026-05-04T07:30:00Z","athlete":"Mira Tal"`, ""},
		{"last --store " + good, exitDone, "Session 2, Monday 4 May 2026, 07:30\nMira Tal\nHarrow Vale\n", ""},
		{"1 --store " + good, exitDone, "quicken", ""},
		{"1 --ascii --store " + good, exitDone, "    192 |::", ""},
		{"1 --json --store " + good, exitDone, `{"kind":"mark","t":0,"name":"start"}`, ""},
		{"1 --json --store " + good, exitDone, `{"kind":"summary","duration":120,`, ""},
		{"1 --replay --store " + good, exitDone, "no difference: 5 cues, 2 beat pieces\n", ""},
		{"last --replay --store " + forged, exitFailed, "cue quicken at", "differences from the stored answers: 2"},
		{"3 --store " + good, exitFailed, "", "no such session: 3"},
		{"first --store " + good, exitUsage, "", "give its number, or 'last'"},
		{"1 2 --store " + good, exitUsage, "", `unexpected argument "2"`},
		{"--replay --store " + good, exitUsage, "", "--replay wants one walk"},
		{"--store " + dir, exitFailed, "", "is a folder"},
		{"--store " + garbage, exitFailed, "", "not a steadfoot store; name another file"},
		{"--store " + filepath.Join(dir, "none.db"), exitFailed, "", "there is no store at"},
		{"--help", exitDone, "Examples:\n  steadfoot review ", ""},
	} {
		status, out, errs := reviewRun(strings.Fields(c.args)...)
		if status != c.status || !strings.Contains(out, c.out) {
			t.Errorf("review %s: status %d, output\n%s", c.args, status, out)
		}
		if !strings.Contains(errs, c.err) || (c.err == "") != (errs == "") || strings.Count(errs, "\n") > 1 {
			t.Errorf("review %s: on standard error %q, want one line with %q", c.args, errs, c.err)
		}
	}
	if b, _ := os.ReadFile(garbage); string(b) != "this is a diary, not a store" {
		t.Error("the garbage was changed")
	}
}

func TestReviewEmptyStore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	s, err := logbook.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if status, out, _ := reviewRun("--store", path); status != exitDone || !strings.Contains(out, "No walks yet") {
		t.Errorf("status %d, %q", status, out)
	}
	if status, _, errs := reviewRun("last", "--store", path); status != exitFailed || !strings.Contains(errs, "the store is empty") {
		t.Errorf("status %d, %q", status, errs)
	}
}

func TestStorePath(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	for _, c := range []struct{ xdg, flag, want string }{
		{"", "", filepath.Join(home, ".local", "share", "steadfoot", "log.db")},
		{filepath.Join(home, "data"), "", filepath.Join(home, "data", "steadfoot", "log.db")},
		{"not/absolute", "", filepath.Join(home, ".local", "share", "steadfoot", "log.db")},
		{"", filepath.Join(home, "mine", "walks.db"), filepath.Join(home, "mine", "walks.db")},
	} {
		t.Setenv("XDG_DATA_HOME", c.xdg)
		got, err := storePath(c.flag)
		if err != nil || got != c.want {
			t.Errorf("XDG_DATA_HOME=%q, --store=%q: got %q, %v; want %q", c.xdg, c.flag, got, err, c.want)
		}
		if st, err := os.Stat(filepath.Dir(got)); err != nil || !st.IsDir() {
			t.Errorf("the folder of %q was not made", got)
		}
	}
	file := filepath.Join(home, "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := storePath(filepath.Join(file, "log.db")); err == nil || !strings.Contains(err.Error(), "name another file with --store") {
		t.Errorf("got %v", err)
	}
}
