package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// writeBoth makes a walk of 20 s that is heard in deep noise and felt at the
// waist, and returns its two files and how many steps it has.
func writeBoth(t *testing.T, change func(rows []made.Row) []made.Row) (sound, rows string, steps int) {
	t.Helper()
	dir := t.TempDir()
	g := made.Gait{Cadence: made.Steady(186), JitterCV: 1.5, Start: 1}
	w := made.Spec{
		Seed: 7, Duration: 20, Rate: 16000, Gait: g, Surface: footsteps.Surface("grass"),
		Noises: []made.Noise{{Kind: made.Pink, SNR: -6}},
	}.Walk()
	sound, rows = filepath.Join(dir, "walk.wav"), filepath.Join(dir, "waist.csv")
	if err := audio.WriteWAV(sound, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	felt := made.MotionSpec{Seed: 7, Duration: 20, Rate: 50, Gait: g}.Motion().Rows
	if change != nil {
		felt = change(felt)
	}
	b := []byte("t,ax,ay,az\n")
	for _, r := range felt {
		b = fmt.Appendf(b, "%.3f,%.4f,%.4f,%.4f\n", r.T, r.X, r.Y, r.Z)
	}
	if err := os.WriteFile(rows, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return sound, rows, len(w.Steps)
}

// kinds is how many events of a kind there are.
func kinds(events []map[string]any, kind string) (n int) {
	for _, e := range events {
		if e["kind"] == kind {
			n++
		}
	}
	return n
}

// TestWalkWithSensor: a sensor beside the sound has the steps found that noise
// drowns; 'steps' and the walk say the same; the log names the sensor; and the
// stored walk replays without a difference.
func TestWalkWithSensor(t *testing.T) {
	sound, rows, want := writeBoth(t, nil)
	if n := kinds(heardIn(t, runOut(t, "steps", "--json", sound)), "step"); n > want/2 {
		t.Fatalf("%d of %d steps found by ear alone; nothing is proven", n, want)
	}
	heard := heardIn(t, runOut(t, "steps", "--json", "--sensor", rows, sound))
	if n := kinds(heard, "step"); n < want-12 || n > want+1 {
		t.Errorf("%d steps found with the sensor, of %d", n, want)
	}
	store := filepath.Join(t.TempDir(), "log.db")
	runOut(t, "walk", "--cadence", "184", "--in", sound, "--sensor", rows, "--fast", "--out", "none", "--store", store)
	if logged := heardIn(t, runOut(t, "review", "last", "--json", "--store", store)); !reflect.DeepEqual(heard, logged) {
		t.Errorf("steps tells %d events, the walk logged %d, and they differ", len(heard), len(logged))
	}
	session := eventsIn(t, runOut(t, "review", "last", "--json", "--store", store))[0]
	if want := sound + ", and a sensor: " + rows; session["input"] != want {
		t.Errorf("the log says it was heard from %q, want %q", session["input"], want)
	}
	if told := runOut(t, "review", "last", "--replay", "--store", store); !strings.Contains(told, "no difference") {
		t.Errorf("the replay says\n%s", told)
	}
}

// A sensor that stops, or whose rows are broken or of another time, is told once,
// and the walk goes on.
func TestWalkWithBadSensor(t *testing.T) {
	for _, c := range []struct {
		name, says string
		change     func(rows []made.Row) []made.Row
		spoil      string // put after the rows
	}{
		{"stops", "no row from 8.0 s on", func(r []made.Row) []made.Row { return r[:402] }, ""},
		{"other clock", "its times must be those of the sound", func(r []made.Row) []made.Row {
			for i := range r {
				r[i].T += 1.7e9
			}
			return r
		}, ""},
		{"broken", ":404: ", func(r []made.Row) []made.Row { return r[:402] }, "9,here,be,dragons\n9.1,0,0,9.8\n"},
	} {
		sound, rows, _ := writeBoth(t, c.change)
		f, err := os.OpenFile(rows, os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteString(c.spoil); err != nil {
			t.Fatal(err)
		}
		f.Close()
		store := filepath.Join(t.TempDir(), "log.db")
		runOut(t, "walk", "--cadence", "184", "--in", sound, "--sensor", rows, "--fast", "--out", "none", "--store", store)
		var faults []string
		end := 0.0
		for _, e := range eventsIn(t, runOut(t, "review", "last", "--json", "--store", store)) {
			switch e["kind"] {
			case "fault":
				if what, _ := e["what"].(string); strings.Contains(what, "waist.csv") {
					faults = append(faults, what)
				}
			case "rhythm":
				end, _ = e["t"].(float64)
			}
		}
		if len(faults) != 1 || !strings.Contains(faults[0], c.says) {
			t.Errorf("%s: faults %q, want one with %q", c.name, faults, c.says)
		}
		if end < 19.5 {
			t.Errorf("%s: the walk ended at %g s", c.name, end)
		}
	}
}

// Rows may come by a pipe, while a sound is gone through at real time; its end is
// told.
func TestWalkWithSensorFromPipe(t *testing.T) {
	sound, rows, _ := writeBoth(t, nil)
	b, err := os.ReadFile(rows)
	if err != nil {
		t.Fatal(err)
	}
	store := filepath.Join(t.TempDir(), "log.db")
	var out, errs bytes.Buffer
	in := bytes.NewReader(b[:2000]) // its end is told, once
	args := []string{"walk", "--cadence", "184", "--in", sound, "--sensor", "-", "--duration", "1s", "--plain", "--out", "none", "--store", store}
	if status := run(context.Background(), stdio{in, &out, &errs}, args); status != exitDone {
		t.Fatalf("status %d, %s", status, errs.String())
	}
	ends := 0
	for _, e := range eventsIn(t, runOut(t, "review", "last", "--json", "--store", store)) {
		if what, _ := e["what"].(string); e["kind"] == "fault" && what == "standard input: it has ended, and no more rows come" {
			ends++
		}
	}
	if ends != 1 {
		t.Errorf("the end of the rows is told %d times, want once", ends)
	}
	if strings.Contains(errs.String(), "no rows came") {
		t.Errorf("the rows were not taken: %s", errs.String())
	}
}

// Wrong use of --sensor is told before anything is opened.
func TestSensorWrongUse(t *testing.T) {
	sound, rows, _ := writeBoth(t, nil)
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"walk", "--cadence", "184", "--in", "udp:9999", "--sensor", rows, "--out", "none"}, "goes with a sound"},
		{[]string{"walk", "--cadence", "184", "--in", rows, "--sensor", rows, "--fast", "--out", "none"}, "no sound to join"},
		{[]string{"walk", "--cadence", "184", "--in", "-", "--sensor", "-", "--out", "none"}, "both read standard input"},
		{[]string{"walk", "--cadence", "184", "--in", sound, "--sensor", "udp:9999", "--fast", "--out", "none"}, "not with a live one"},
		{[]string{"walk", "--cadence", "184", "--in", sound, "--sensor", "pod", "--out", "none"}, "a foot pod tells no single steps"},
		{[]string{"steps", "--sensor", "udp:9999", sound}, "want a file"},
		{[]string{"steps", "--sensor", rows, rows}, "no sound to join"},
	} {
		var out, errs bytes.Buffer
		args := append(c.args, "--store", filepath.Join(t.TempDir(), "log.db"))
		if c.args[0] == "steps" {
			args = c.args
		}
		if status := run(context.Background(), stdio{strings.NewReader(""), &out, &errs}, args); status != exitUsage || !strings.Contains(errs.String(), c.says) {
			t.Errorf("%s: status %d, %q; want %d and %q", c.args, status, errs.String(), exitUsage, c.says)
		}
	}
}

// eventsIn is all events of JSON Lines.
func eventsIn(t *testing.T, lines string) (all []map[string]any) {
	t.Helper()
	for l := range strings.Lines(lines) {
		var e map[string]any
		if err := json.Unmarshal([]byte(l), &e); err != nil {
			t.Fatal(err)
		}
		all = append(all, e)
	}
	return all
}
