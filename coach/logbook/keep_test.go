package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

func newStore(t *testing.T, name string) (*Store, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s, path
}

// put adds a whole session and returns its number.
func put(t *testing.T, s *Store, h Header, minutes float64) int64 {
	t.Helper()
	w, err := s.Begin(h)
	if err != nil {
		t.Fatal(err)
	}
	appendAll(t, w, walk(60*minutes, 7))
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	return w.ID()
}

func day(n int) time.Time { return time.Date(2026, 5, n, 18, 0, 0, 0, time.UTC) }

func TestFind(t *testing.T) {
	s, _ := newStore(t, "log.db")
	mira := put(t, s, Header{Started: day(1), Athlete: "Mira Tal", Label: "8 x 1 km", Plan: "Kilometres"}, 1)
	jon := put(t, s, Header{Started: day(2), Athlete: "Jon Ash", Label: "100% easy"}, 1)
	late := put(t, s, Header{Started: day(9), Athlete: "mira tal"}, 1)
	if err := errors.Join(s.SetNote(late, "windy_ on the bend"), s.Tag(late, []string{"Wind ", "drill"}, nil), s.Tag(mira, []string{"drill"}, nil)); err != nil {
		t.Fatal(err)
	}
	for what, c := range map[string]struct {
		f    Filter
		want []int64
	}{
		"all":           {Filter{}, []int64{late, jon, mira}},
		"athlete":       {Filter{Athlete: "MIRA TAL"}, []int64{late, mira}},
		"label":         {Filter{Text: "1 KM"}, []int64{mira}},
		"plan":          {Filter{Text: "kilo"}, []int64{mira}},
		"per cent":      {Filter{Text: "0%"}, []int64{jon}},
		"underscore":    {Filter{Text: "y_"}, []int64{late}},
		"tag":           {Filter{Tags: []string{"DRILL"}}, []int64{late, mira}},
		"two tags":      {Filter{Tags: []string{"drill", "wind"}}, []int64{late}},
		"part of a tag": {Filter{Tags: []string{"dril"}}, nil},
		"from":          {Filter{From: day(2)}, []int64{late, jon}},
		"before":        {Filter{Before: day(2)}, []int64{mira}},
		"limit":         {Filter{Limit: 1}, []int64{late}},
		"quote":         {Filter{Text: "'; DROP TABLE session; --"}, nil},
	} {
		list, err := s.Find(c.f)
		var got []int64
		for _, i := range list {
			got = append(got, i.ID)
		}
		if err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, %v, want %v", what, got, err, c.want)
		}
	}
	if names, err := s.Athletes(); err != nil || !slices.Equal(names, []string{"Jon Ash", "Mira Tal", "mira tal"}) {
		t.Errorf("athletes %v, %v", names, err)
	}
}

func TestKeep(t *testing.T) {
	s, _ := newStore(t, "log.db")
	id := put(t, s, Header{Started: day(1), Athlete: "Mira", Label: "old"}, 1)
	label := "new, with 'quotes'"
	if err := errors.Join(s.Rename(id, nil, &label), s.Tag(id, []string{"b", "a", "b"}, nil), s.Tag(id, []string{"c"}, []string{"B"})); err != nil {
		t.Fatal(err)
	}
	_, i, err := s.Session(id)
	if err != nil || i.Label != label || i.Athlete != "Mira" || !slices.Equal(i.Tags, []string{"a", "c"}) {
		t.Errorf("%+v, %v", i, err)
	}
	for _, bad := range []string{"", " ", "a,b", strings.Repeat("x", 41), "a\nb"} {
		if s.Tag(id, []string{bad}, nil) == nil {
			t.Errorf("tag %q is taken", bad)
		}
	}
	for what, err := range map[string]error{"note": s.SetNote(99, "x"), "tag": s.Tag(99, nil, nil), "rename": s.Rename(99, nil, &label), "delete": s.Delete(99, day(1)), "undelete": s.Undelete(99)} {
		if !errors.Is(err, ErrNoSession) {
			t.Errorf("%s of an unknown session: %v", what, err)
		}
	}
}

func TestDelete(t *testing.T) {
	s, _ := newStore(t, "log.db")
	keep, gone := put(t, s, Header{Started: day(1)}, 1), put(t, s, Header{Started: day(2)}, 1)
	want := readAll(t, s, gone)
	if err := s.Delete(gone, day(3)); err != nil {
		t.Fatal(err)
	}
	if list, _ := s.Sessions(); len(list) != 1 || list[0].ID != keep {
		t.Errorf("after the deletion: %v", list)
	}
	if n, err := s.Purge(day(3)); n != 0 || err != nil {
		t.Errorf("too early a purge removes %d, %v", n, err)
	}
	if err := s.Undelete(gone); err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, s, gone), want)
	if err := s.Delete(gone, day(3)); err != nil {
		t.Fatal(err)
	}
	if n, err := s.Purge(day(4)); n != 1 || err != nil {
		t.Errorf("the purge removes %d, %v", n, err)
	}
	if list, _ := s.Find(Filter{Deleted: true}); len(list) != 0 || len(readAll(t, s, gone)) != 0 || len(readAll(t, s, keep)) == 0 {
		t.Errorf("after the purge: %v", list)
	}
}

// TestMerge joins the stores of two laptops, both ways and twice: each session
// is there once, whole, and what was written here stays.
func TestMerge(t *testing.T) {
	a, pathA := newStore(t, "a.db")
	b, pathB := newStore(t, "b.db")
	put(t, a, Header{Started: day(1), Athlete: "Mira", Settings: []byte(`{"cadence":190}`)}, 2)
	put(t, b, Header{Started: day(2), Athlete: "Jon"}, 1)
	put(t, b, Header{Started: day(3), Athlete: "Jon"}, 1)
	if added, known, err := a.Merge(pathB); added != 2 || known != 0 || err != nil {
		t.Fatalf("%d, %d, %v", added, known, err)
	}
	if added, known, err := a.Merge(pathB); added != 0 || known != 2 || err != nil {
		t.Errorf("a second time: %d, %d, %v", added, known, err)
	}
	if added, known, err := b.Merge(pathA); added != 1 || known != 2 || err != nil {
		t.Errorf("and back: %d, %d, %v", added, known, err)
	}
	fromA, _ := a.Sessions()
	fromB, _ := b.Sessions()
	if len(fromA) != 3 || len(fromB) != 3 {
		t.Fatalf("%d and %d sessions", len(fromA), len(fromB))
	}
	for i := range fromA {
		if fromA[i].UID != fromB[i].UID || !fromA[i].Started.Equal(fromB[i].Started) {
			t.Errorf("%+v and %+v", fromA[i], fromB[i])
		}
		compare(t, readAll(t, b, fromB[i].ID), readAll(t, a, fromA[i].ID))
		ha, _, _ := a.Session(fromA[i].ID)
		if hb, _, _ := b.Session(fromB[i].ID); string(ha.Settings) != string(hb.Settings) {
			t.Errorf("settings %s and %s", ha.Settings, hb.Settings)
		}
	}
	if _, _, err := a.Merge(filepath.Join(t.TempDir(), "none.db")); err == nil || !strings.Contains(err.Error(), "none.db") {
		t.Errorf("a store that is not there: %v", err)
	}
}

func TestBackup(t *testing.T) {
	s, path := newStore(t, "log.db")
	first := put(t, s, Header{Started: day(1), Athlete: "Mira"}, 2)
	want := readAll(t, s, first)
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := s.Backup(copied); err != nil {
		t.Fatal(err)
	}
	if st, err := os.Stat(copied); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("the backup is for others too: %v, %v", st, err)
	}
	if err := s.Backup(copied); err == nil {
		t.Error("a backup is written over")
	}
	put(t, s, Header{Started: day(2)}, 1)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	kept, err := Restore(copied, path)
	if err != nil {
		t.Fatal(err)
	}
	for p, n := range map[string]int{path: 1, kept: 2, copied: 1} {
		s, err := Open(p)
		if err != nil {
			t.Fatal(err)
		}
		if list, err := s.Sessions(); len(list) != n || err != nil {
			t.Errorf("%s has %d sessions, %v, want %d", p, len(list), err, n)
		}
		compare(t, readAll(t, s, first), want)
		s.Close()
	}
	data, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	for i := len(data) / 2; i < len(data)/2+4000; i++ {
		data[i] ^= 0x5a
	}
	bad := filepath.Join(t.TempDir(), "bad.db")
	if err := os.WriteFile(bad, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(bad, path); err == nil {
		t.Error("a damaged backup is restored")
	}
	again, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	compare(t, readAll(t, again, first), want)
}
