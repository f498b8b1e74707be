package main

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/detect/made"
)

// TestWalkByClaps goes through a recording with two claps in it, with and without
// the wish to hear them.
func TestWalkByClaps(t *testing.T) {
	dir := t.TempDir()
	wav := filepath.Join(dir, "claps.wav")
	walk := made.Spec{Seed: 1, Rate: 16000, Duration: 14, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1}}.Walk()
	walk = made.Hands{Seed: 1, Hz: 1200, Q: 0.8, Fade: 0.006, Peak: 0.9}.Into(walk, []float64{8, 8.4})
	if err := audio.WriteWAV(wav, 16000, 1, audio.S16, walk.Samples); err != nil {
		t.Fatal(err)
	}
	for _, wanted := range []bool{false, true} {
		store := filepath.Join(dir, fmt.Sprint(wanted, ".db"))
		args := []string{"walk", "--cadence", "190", "--in", wav, "--fast", "--out", "none", "--store", store}
		if wanted {
			args = append(args, "--hands", "clap")
		}
		var out, errs shared
		if code := run(t.Context(), stdio{strings.NewReader(""), &out, &errs}, args); code != exitDone {
			t.Fatalf("status %d: %s", code, &errs)
		}
		var laps []event.Mark
		for _, e := range stored(t, store) {
			if m, ok := e.(event.Mark); ok && m.Name == event.MarkLap {
				laps = append(laps, m)
			}
		}
		switch {
		case !wanted && len(laps) > 0:
			t.Errorf("the log has %+v, and nobody asked for claps", laps)
		case wanted && (len(laps) != 1 || math.Abs(laps[0].T-8) > 0.02 || laps[0].Note != "two claps"):
			t.Errorf("the log has %+v, want a lap by claps at 8 s", laps)
		}
	}
}
