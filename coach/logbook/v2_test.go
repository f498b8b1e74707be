package logbook

import (
	"os"
	"path/filepath"
	"testing"

	"steadfoot/coach/event"
)

// TestStoreOfVersion2 opens a store that the program of commit 5879c61 wrote,
// with one whole session that ends with a part, a target and a lap, and one that
// was cut short. What version 3 has more can then be added to it.
func TestStoreOfVersion2(t *testing.T) {
	old, err := os.ReadFile(filepath.Join("testdata", "v2.db"))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "log.db")
	if err := os.WriteFile(path, old, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := os.Stat(path + ".v2"); err != nil {
		t.Errorf("no copy: %v", err)
	}
	compare(t, readAll(t, s, 1), append(walk(20, 1),
		event.Part{T: 3, N: 1, Role: event.RoleRep, Set: 1, Rep: 2, Of: 8, Length: 1000, Distance: 12.5},
		event.Target{T: 3, Cadence: 192, Low: 188, High: 196, Pace: 300, Reason: "rep 2 of 8"},
		event.Lap{T: 9, Distance: 400, Time: 120.5, Steps: 380, StepLength: 1.05}))
	compare(t, readAll(t, s, 2), walk(10, 2))
	more := []event.Event{
		event.Shared{T: 1, Beat: event.Beat{Start: 2, Period: 0.3125, N: 7}, Part: event.Part{N: 1, Role: event.RoleFree}, Paused: true},
		event.Call{T: 1, Due: 2.5, Name: event.CueRepStart},
		event.Shared{T: 2, Beat: event.Beat{Start: 2.0001, Period: 0.3125, N: 7}, Part: event.Part{N: 1, Role: event.RoleFree}},
	}
	w := begin(t, s)
	appendAll(t, w, more)
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, s, w.ID()), more)
}
