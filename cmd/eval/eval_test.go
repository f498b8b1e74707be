package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score/trial"
)

// The whole way of two recordings, one with a walker and one without.
func TestMeasure(t *testing.T) {
	load := func(s made.Spec) func() (recording, error) {
		return func() (recording, error) {
			w := s.Walk()
			return recording{samples: w.Samples, rate: w.Rate, truth: trial.Of(w)}, nil
		}
	}
	walker := made.Spec{Seed: 1, Duration: 15, Gait: made.Gait{Cadence: made.Steady(180), JitterCV: 1}}
	rows, err := measure([]job{
		{group: "clean", name: "a", load: load(walker)},
		{group: trial.NobodyGroup + "silence", name: "b", load: load(made.Spec{Duration: 5})},
		{group: "clean", name: "c", load: load(walker)},
	}, t.TempDir(), false, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 2 || rows[0].files != 2 || rows[1].files != 1 {
		t.Fatalf("rows %+v, want two of clean and one of nobody", rows)
	}
	if n := rows[0].ours.At50; n.TP+n.FN != 2*len(walker.Walk().Steps) {
		t.Errorf("%d true steps counted, want all of both walks", n.TP+n.FN)
	}
	var out bytes.Buffer
	printTable(&out, rows)
	printMore(&out, rows)
	for _, want := range []string{"clean  2  ", "nobody: silence  1  ", "  0.0      -         -\n", "(not run)"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the table lacks %q:\n%s", want, out.String())
		}
	}
}

func TestMeasureFails(t *testing.T) {
	bad := func() (recording, error) { return recording{}, errors.New("no such sound") }
	_, err := measure([]job{{group: "g", name: "walk.flac", load: bad}}, t.TempDir(), false, io.Discard)
	if err == nil || err.Error() != "walk.flac: no such sound" {
		t.Errorf("error %v, want the file and what is wrong", err)
	}
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	if _, err := folderJobs(dir); err == nil {
		t.Error("an empty folder is taken for recordings")
	}
	path := filepath.Join(dir, "w.steps.txt")
	if err := os.WriteFile(path, []byte("1.5\n\n# a remark\nsoon\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := readTimes(path); err == nil || !strings.Contains(err.Error(), `w.steps.txt:4: "soon"`) {
		t.Errorf("error %v, want file and line", err)
	}
}
