package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"steadfoot/detect/made"
	"steadfoot/detect/score/aubio"
)

// A detector that has been fed for minutes holds no more memory than before,
// and allocates nothing: the short form of eval --cost.
func TestLongStreamHoldsItsMemory(t *testing.T) {
	s, err := newStream(8000)
	if err != nil {
		t.Fatal(err)
	}
	s.feed(60)
	before := memory()
	s.feed(120)
	after := memory()
	if grown := int64(after.HeapAlloc) - int64(before.HeapAlloc); grown > 64<<10 {
		t.Errorf("%d bytes more in use after two more minutes", grown)
	}
	if n := after.Mallocs - before.Mallocs; n > 100 { // the test's own, but not one a block
		t.Errorf("%d allocations in %d blocks", n, 120*8000/costBlock)
	}
	if s.at < 0 || s.at >= len(s.loop) {
		t.Errorf("the loop is at %d of %d", s.at, len(s.loop))
	}
}

// The child's side of the comparison with aubio finds the steps of the file.
func TestFeedFile(t *testing.T) {
	w := made.Spec{Seed: 1, Rate: 16000, Duration: 10, Gait: made.Gait{Cadence: made.Steady(180)}}.Walk()
	path := filepath.Join(t.TempDir(), "w.wav")
	if err := os.WriteFile(path, aubio.WAV(w.Samples, 16000), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if passed, err := runCost(options{cost: costOptions{feed: path}}, &out, io.Discard); err != nil || !passed {
		t.Fatal(passed, err)
	}
	lines := strings.Fields(out.String())
	if len(lines) < len(w.Steps)-2 || len(lines) > len(w.Steps) {
		t.Errorf("%d lines for %d steps", len(lines), len(w.Steps))
	}
	if at, err := strconv.ParseFloat(lines[0], 64); err != nil || at < 0.4 || at > 0.6 {
		t.Errorf("first step at %q, want 0.5", lines[0])
	}
	if err := feedFile(path+".none", io.Discard); err == nil {
		t.Error("a file that is not there is fed")
	}
}

func TestSpeed(t *testing.T) {
	if got := (rateCost{48000, 4 * time.Millisecond}).speed(); got != 250 {
		t.Errorf("4 ms for a second is %v times real time, want 250", got)
	}
	if m := median([]time.Duration{5, 1, 3}); m != 3 {
		t.Errorf("median %v, want 3", m)
	}
}
