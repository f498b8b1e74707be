package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// shared is a buffer that can be looked at while it is written to.
type shared struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *shared) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// waitFor waits for something to be written.
func (s *shared) waitFor(t *testing.T, text string) {
	t.Helper()
	for range 2400 { // a loaded machine may be slow
		if strings.Contains(s.String(), text) {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Errorf("waited 2 min for %q in:\n%s", text, s)
}

// TestWalkOnFullDisk fills the disk in the middle of a walk, with its sound kept,
// and makes room again: the walk goes on, each fault is told once and heard, and
// the walk is stored whole.
func TestWalkOnFullDisk(t *testing.T) {
	t.Parallel() // it waits most of the time
	disk := t.TempDir()
	if err := syscall.Mount("none", disk, "tmpfs", 0, "size=2m"); err != nil {
		t.Skipf("no disk can be made to be filled (%v)", err)
	}
	t.Cleanup(func() { syscall.Unmount(disk, syscall.MNT_DETACH) })
	recording := filepath.Join(t.TempDir(), "walk.wav")
	w := made.Spec{Seed: 7, Duration: 60, Gait: made.Gait{Cadence: made.Steady(190), Start: 0.5}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(recording, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	store := filepath.Join(disk, "log.db")
	var out, errs shared
	status := make(chan int)
	go func() {
		status <- run(t.Context(), stdio{strings.NewReader(""), &out, &errs}, []string{"walk", "--cadence", "190",
			"--in", recording, "--out", "none", "--keep-sound", "--store", store, "--duration", "10s"})
	}()
	errs.waitFor(t, "start") // the first cue
	filler := filepath.Join(disk, "filler")
	fillUp(t, filler)
	errs.waitFor(t, "trouble with the log: ")
	errs.waitFor(t, "the sound is no longer kept: ")
	if err := os.Remove(filler); err != nil {
		t.Error(err)
	}
	if code := <-status; code != exitDone {
		t.Fatalf("status %d: %s", code, &errs)
	}
	for _, want := range []string{"the disk is full", "fault", "no space left on device; the walk goes on", "The walk is stored now."} {
		if !strings.Contains(errs.String(), want) {
			t.Errorf("no %q in:\n%s", want, &errs)
		}
	}
	for _, once := range []string{"fault        trouble with the log: ", "fault        the sound is no longer kept: "} {
		if n := strings.Count(errs.String(), once); n != 1 {
			t.Errorf("%q is told %d times", once, n)
		}
	}
	if !strings.Contains(out.String(), "fault 1") || strings.Contains(out.String(), "Cut short") {
		t.Errorf("the review says\n%s", &out)
	}
	noStepMissing(t, store)
}

// noStepMissing checks that the walk in a store has no hole, and that a replay
// agrees.
func noStepMissing(t *testing.T, path string) {
	t.Helper()
	var replay bytes.Buffer
	if code := run(t.Context(), stdio{strings.NewReader(""), &replay, &replay}, []string{"review", "last", "--replay", "--store", path}); code != exitDone {
		t.Errorf("replay: %s", &replay)
	}
	store, err := logbook.OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	first, last, end := 0.0, 0.0, 0.0
	for e, err := range store.Events(1) {
		if err != nil {
			t.Fatal(err)
		}
		switch e := e.(type) {
		case event.Step:
			if first == 0 {
				first, last = e.T, e.T
			}
			if e.T > last+0.5 {
				t.Errorf("there is no step between %g and %g s", last, e.T)
			}
			last = e.T
		case event.Mark:
			end = e.T
		}
	}
	if first == 0 || first > 2 || last < end-1 {
		t.Errorf("steps from %g to %g s of a walk until %g s", first, last, end)
	}
}

// TestWalkOnRemovedStore removes the store in the middle of a walk: that is told
// once, by eye and ear, and the walk is there in the end.
func TestWalkOnRemovedStore(t *testing.T) {
	t.Parallel() // it waits most of the time
	dir := t.TempDir()
	recording, store := filepath.Join(dir, "walk.wav"), filepath.Join(dir, "log.db")
	w := made.Spec{Seed: 7, Duration: 60, Gait: made.Gait{Cadence: made.Steady(190), Start: 0.5}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(recording, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	var out, errs shared
	status := make(chan int)
	go func() {
		status <- run(t.Context(), stdio{strings.NewReader(""), &out, &errs}, []string{"walk", "--cadence", "190",
			"--in", recording, "--out", "none", "--store", store, "--duration", "10s"})
	}()
	errs.waitFor(t, "start") // the first cue
	if err := os.Remove(store); err != nil {
		t.Error(err)
	}
	errs.waitFor(t, "  fault        the fault at ") // the word in the ear
	if code := <-status; code != exitDone {
		t.Fatalf("status %d: %s", code, &errs)
	}
	if n := strings.Count(errs.String(), "fault        trouble with the log: store "+store+": the file was removed"); n != 1 {
		t.Errorf("it is told %d times:\n%s", n, &errs)
	}
	if !strings.Contains(out.String(), "fault 1") {
		t.Errorf("the review says\n%s", &out)
	}
	noStepMissing(t, store)
}

// fillUp writes to path until the disk is full.
func fillUp(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for b := make([]byte, 4096); ; {
		if _, err := f.Write(b); err != nil {
			return
		}
	}
}
