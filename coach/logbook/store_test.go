package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/coach/event"
)

func TestRoundTrip(t *testing.T) {
	s, path := openTemp(t)
	want := walk(300, 1)
	w := begin(t, s)
	appendAll(t, w, want[:len(want)/2])
	other := begin(t, s) // two sessions at once in one store
	appendAll(t, w, want[len(want)/2:])
	appendAll(t, other, walk(3, 2))
	for _, w := range []*Writer{w, other} {
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Append(want[0]); !errors.Is(err, errEnded) {
		t.Errorf("Append after End gives %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	s, err := OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	compare(t, readAll(t, s, w.ID()), want)
	h, info, err := s.Session(w.ID())
	if err != nil {
		t.Fatal(err)
	}
	if wantH := testHeader(); !h.Started.Equal(wantH.Started) || h.Started.Format(time.RFC3339) != "2026-05-03T07:30:00+02:00" {
		t.Errorf("started %v, want %v", h.Started, wantH.Started)
	} else if h.Started = wantH.Started; !reflect.DeepEqual(h, wantH) {
		t.Errorf("header %+v, want %+v", h, wantH)
	}
	steps, heard := 0, 0
	for _, e := range want {
		if e, ok := e.(event.Step); ok {
			steps++
			if e.Heard {
				heard++
			}
		}
	}
	if info.Steps != steps || info.Heard != heard || info.Events != len(want) || info.Duration != 300 || !info.Complete {
		t.Errorf("info %+v, want %d steps, %d heard, %d events, 300 s, complete", info, steps, heard, len(want))
	}
	if _, err := s.Begin(testHeader()); err == nil {
		t.Error("a store opened to read takes a session")
	}
	if _, _, err := s.Session(99); !errors.Is(err, ErrNoSession) {
		t.Errorf("session 99 gives %v", err)
	}
}

func TestListAndCutShort(t *testing.T) {
	s, path := openTemp(t)
	h := testHeader()
	var ids []int64
	for day := range 3 { // the second begins before the first
		h.Started = testHeader().Started.AddDate(0, 0, []int{1, 0, 2}[day])
		w, err := s.Begin(h)
		if err != nil {
			t.Fatal(err)
		}
		appendAll(t, w, walk(2, uint64(day)))
		ids = append(ids, w.ID())
		if day != 2 {
			if err := w.End(); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := s.Close(); err != nil { // the third has no End
		t.Fatal(err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	list, err := s.Sessions()
	if err != nil {
		t.Fatal(err)
	}
	var got []int64
	for _, i := range list {
		got = append(got, i.ID)
		if i.Complete != (i.ID != ids[2]) {
			t.Errorf("session %d: complete %v", i.ID, i.Complete)
		}
	}
	if want := []int64{ids[2], ids[0], ids[1]}; !reflect.DeepEqual(got, want) {
		t.Errorf("listed %v, want %v", got, want)
	}
	compare(t, readAll(t, s, ids[2]), walk(2, 2)) // Close wrote it all
}

func TestBeginRefusesBadSettings(t *testing.T) {
	s, _ := openTemp(t)
	h := testHeader()
	h.Settings = []byte(`{"target":`)
	if _, err := s.Begin(h); err == nil || !strings.Contains(err.Error(), "not JSON") {
		t.Errorf("got %v", err)
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	file := func(name, content string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	newer := filepath.Join(dir, "newer")
	makeStore(t, newer, "PRAGMA user_version=1000")
	foreign := filepath.Join(dir, "foreign")
	makeStore(t, foreign, "PRAGMA application_id=1")
	for _, c := range []struct{ path, want string }{
		{file("garbage", strings.Repeat("not a store ", 999)), "not a steadfoot store; name another file"},
		{file("short", "SQLite"), "not a steadfoot store"},
		{file("head", "SQLite format 3\x00"+strings.Repeat("\xff", 5000)), "not a database"},
		{foreign, "not a steadfoot store"},
		{newer, "newer steadfoot"},
		{dir, "is a folder; name a file"},
		{os.DevNull, "is a device or a pipe; name a file"},
		{filepath.Join(file("x", "x"), "log.db"), "not a directory"},
		{filepath.Join(dir, "none", "log.db"), "no such file or directory"},
	} {
		before, _ := os.ReadFile(c.path)
		for name, open := range map[string]func(string) (*Store, error){"Open": Open, "OpenReadOnly": OpenReadOnly} {
			s, err := open(c.path)
			if err == nil {
				s.Close()
				t.Errorf("%s(%s) succeeds", name, c.path)
				continue
			}
			if msg := err.Error(); !strings.Contains(msg, c.want) || !strings.HasPrefix(msg, "store "+c.path) || strings.Contains(msg, "\n") {
				t.Errorf("%s: got %q, want one line with %q", name, msg, c.want)
			}
		}
		if after, _ := os.ReadFile(c.path); string(after) != string(before) {
			t.Errorf("%s was changed", c.path)
		}
	}
	if s, err := OpenReadOnly(file("empty", "")); err == nil {
		s.Close()
		t.Error("OpenReadOnly takes an empty file")
	}
	if s, err := Open(file("odd ?#%41 name.db", "")); err != nil {
		t.Error(err)
	} else if err := s.Close(); err != nil {
		t.Error(err)
	} else if st, _ := os.Stat(filepath.Join(dir, "odd ?#%41 name.db")); st == nil || st.Size() == 0 {
		t.Error("the store went to another name")
	}
}

// makeStore makes a store and runs sql on it.
func makeStore(t *testing.T, path, sql string) {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.db.Exec(sql); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestDamagedChunk(t *testing.T) {
	for name, sql := range map[string]string{
		"shorter":  "UPDATE chunk SET data = substr(data, 1, 100) WHERE first = 0",
		"missing":  "DELETE FROM chunk WHERE first = 0",
		"too few":  "UPDATE chunk SET n = n - 1 WHERE first = 0",
		"nonsense": "UPDATE chunk SET data = zeroblob(4000) WHERE first = 0",
	} {
		s, _ := openTemp(t)
		w := begin(t, s)
		appendAll(t, w, walk(60, 1))
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
		if _, err := s.db.Exec(sql); err != nil {
			t.Fatal(err)
		}
		var last error
		for _, last = range s.Events(w.ID()) {
		}
		if !errors.Is(last, errDamaged) {
			t.Errorf("%s: got %v", name, last)
		}
	}
}

func TestOpenAtOnce(t *testing.T) {
	for range 10 {
		path := filepath.Join(t.TempDir(), "log.db")
		var wg sync.WaitGroup
		for range 4 {
			wg.Go(func() {
				s, err := Open(path)
				if err != nil {
					t.Error(err)
					return
				}
				defer s.Close()
				if _, err := s.Begin(testHeader()); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
	}
}

// TestTogether: what many sessions append at once comes back, each its own, and
// closing the store ends them all.
func TestTogether(t *testing.T) {
	s, path := openTemp(t)
	want := map[int64][]event.Event{}
	var all sync.WaitGroup
	for i := range 40 {
		w, mine := begin(t, s), walk(20, uint64(i))
		want[w.ID()] = mine
		all.Go(func() {
			for k, e := range mine {
				if err := w.Append(e); err != nil {
					t.Error(err)
				}
				if k%25 == 0 {
					time.Sleep(50 * time.Millisecond)
				}
			}
			if i%2 == 0 {
				if err := w.End(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for id, mine := range want {
		compare(t, readAll(t, s, id), mine)
	}
	list, err := s.Sessions()
	ended := 0
	for _, i := range list {
		if i.Complete {
			ended++
		}
	}
	if err != nil || len(list) != 40 || ended != 20 {
		t.Errorf("%d sessions, %d of them complete, %v", len(list), ended, err)
	}
}
