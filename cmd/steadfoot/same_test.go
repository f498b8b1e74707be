package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// TestStepsAreThoseOfTheWalk: a recording looked at afterwards gives, to the
// bit, the steps, rhythm and gaps that a walk hears and logs.
func TestStepsAreThoseOfTheWalk(t *testing.T) {
	dir := t.TempDir()
	sound := filepath.Join(dir, "walk.wav")
	w := made.Spec{
		Seed: 7, Duration: 20, Gait: made.Gait{Cadence: made.Steady(186), JitterCV: 1.5, Start: 3},
		Surface: footsteps.Surface("gravel"), Noises: []made.Noise{{Kind: made.Wind, SNR: 12}},
	}.Walk()
	if err := audio.WriteWAV(sound, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	rows := filepath.Join(dir, "walk.csv")
	if err := os.WriteFile(rows, []byte(jolts(20)), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, in := range []string{sound, rows} {
		store := filepath.Join(dir, "log.db")
		heard := heardIn(t, runOut(t, "steps", "--json", in))
		runOut(t, "walk", "--cadence", "180", "--in", in, "--fast", "--out", "none", "--store", store)
		logged := heardIn(t, runOut(t, "review", "last", "--json", "--store", store))
		if !reflect.DeepEqual(heard, logged) {
			t.Errorf("%s: steps tells %d events, the walk logged %d, and they differ", filepath.Base(in), len(heard), len(logged))
		}
		steps := 0
		for _, e := range heard {
			if e["kind"] == "step" {
				steps++
			}
		}
		if steps < 40 {
			t.Errorf("%s: %d steps; nothing is proven", filepath.Base(in), steps)
		}
	}
}

// jolts is the rows of a sensor at 50 Hz that is hit three times a second.
func jolts(seconds float64) string {
	var b strings.Builder
	b.WriteString("t,ax,ay,az\n")
	for i := range int(50 * seconds) {
		s := float64(i) / 50
		_, phase := math.Modf(3 * s)
		fmt.Fprintf(&b, "%.2f,0.1,%.4f,0.2\n", s, 9.8+6*math.Exp(-8*phase))
	}
	return b.String()
}

// runOut runs the program, which must end well, and returns its output.
func runOut(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(context.Background(), stdio{strings.NewReader(""), &out, &errs}, args); status != exitDone {
		t.Fatalf("%s: status %d, %s", args, status, errs.String())
	}
	return out.String()
}

// heardIn is the events of JSON Lines that come from the detector. The pace of a
// rhythm is of the coach.
func heardIn(t *testing.T, lines string) (all []map[string]any) {
	t.Helper()
	for l := range strings.Lines(lines) {
		var e map[string]any
		if err := json.Unmarshal([]byte(l), &e); err != nil {
			t.Fatal(err)
		}
		switch e["kind"] {
		case "step", "rhythm", "gap":
			delete(e, "pace")
			all = append(all, e)
		}
	}
	return all
}
