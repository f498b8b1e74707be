package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// TestStoreOfVersion1 opens a store that the program of commit 906c12c wrote, with one
// whole session and one that was cut short, by the walk of helper_test.go.
func TestStoreOfVersion1(t *testing.T) {
	old, err := os.ReadFile(filepath.Join("testdata", "v1.db"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "log.db")
	if err := os.WriteFile(path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenReadOnly(path); !errors.Is(err, ErrOld) {
		t.Errorf("to read only: %v", err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if copied, err := os.ReadFile(path + ".v1"); err != nil || len(copied) == 0 {
		t.Errorf("no copy: %v", err)
	}
	if st, err := os.Stat(path + ".v1"); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("the copy is for others too: %v, %v", st, err)
	}
	compare(t, readAll(t, s, 1), walk(60, 1))
	compare(t, readAll(t, s, 2), walk(20, 2))
	list, err := s.Sessions()
	if err != nil || len(list) != 2 {
		t.Fatalf("%+v, %v", list, err)
	}
	jon, mira := list[0], list[1]
	if h, _, err := s.Session(1); err != nil || string(h.Settings) != `{"target":192}` || h.Input != "walk.wav" {
		t.Errorf("%+v, %v", h, err)
	}
	if mira.Athlete != "Mira Tal" || mira.Steps != 189 || mira.Events != 314 || !mira.Complete || mira.Duration != 60 ||
		!mira.Started.Equal(time.Date(2026, 5, 3, 5, 30, 0, 123456789, time.UTC)) {
		t.Errorf("%+v", mira)
	}
	if jon.Athlete != "Jon Ash" || jon.Complete || jon.UID == mira.UID || !uidForm.MatchString(jon.UID) || !uidForm.MatchString(mira.UID) {
		t.Errorf("%+v", jon)
	}
	if id := put(t, s, Header{Started: day(1)}, 0.1); id != 3 {
		t.Errorf("the next walk is number %d", id)
	}
	again, err := Open(path + ".v1") // what to go back to is itself a store
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	compare(t, readAll(t, again, 1), walk(60, 1))
}
