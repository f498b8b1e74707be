package main

import (
	"bytes"
	"errors"
	"fmt"
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
			return recording{w.Samples, w.Rate, trial.Of(w)}, nil
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
	printWalks(&out, rows)
	printNobody(&out, rows)
	for _, want := range []string{"clean  2  ", "silence  5 s  0.0", "(not run)"} {
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

func TestBars(t *testing.T) {
	t.Setenv("CI", "")
	good := &row{group: "clean"}
	good.ours.At50.TP = 100
	bad := &row{group: "pink +5 dB"}
	bad.ours.At50.TP, bad.ours.At50.FN = 90, 20
	var out bytes.Buffer
	if !printBars(&out, bars([]*row{good}, nil)) || !strings.Contains(out.String(), "pass: all") {
		t.Errorf("a perfect walk does not pass:\n%s", out.String())
	}
	out.Reset()
	off := []count{{folder: "phone_walks", name: "w", want: 300, got: 312}}
	if printBars(&out, bars([]*row{good, bad}, off)) {
		t.Error("a poor walk passes")
	}
	for _, want := range []string{"FAIL pink +5 dB: F at least 0.95 (0.900)", "FAIL w: total within 3 % (+4.0 %)", "fail: 2 of"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the verdict lacks %q:\n%s", want, out.String())
		}
	}
	t.Setenv("CI", "1")
	if out.Reset(); printBars(&out, bars([]*row{good}, nil)) {
		t.Error("passes in CI without anything to compare with")
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

func TestCountFolder(t *testing.T) {
	dir := t.TempDir()
	accel := filepath.Join(dir, "accel", "phone_counts")
	if err := os.MkdirAll(accel, 0o755); err != nil {
		t.Fatal(err)
	}
	m := made.MotionSpec{Seed: 1, Duration: 20, Gait: made.Gait{Cadence: made.Steady(110)}}.Motion()
	csv := []byte("t_s,ax_mps2,ay_mps2,az_mps2\n")
	for _, r := range m.Rows {
		csv = fmt.Appendf(csv, "%f,%f,%f,%f\n", r.T, r.X, r.Y, r.Z)
	}
	for name, content := range map[string][]byte{"a.csv": csv, "a.count.txt": []byte("30\n"), "b.csv": csv, "b.count.txt": []byte("40")} {
		if err := os.WriteFile(filepath.Join(accel, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	counts, err := countFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(counts) != 3 || counts[0].want != 30 || counts[1].want != 40 || counts[2].want != 70 {
		t.Fatalf("counts %+v, want two recordings and their sum", counts)
	}
	if counts[0].got == 0 || counts[2].got != 2*counts[0].got {
		t.Errorf("found %d and %d steps in the same rows, %d together", counts[0].got, counts[1].got, counts[2].got)
	}
	if err := os.WriteFile(filepath.Join(accel, "a.count.txt"), []byte("many"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := countFolder(dir); err == nil || !strings.HasSuffix(err.Error(), "a.count.txt: want one whole number") {
		t.Errorf("error %v, want the file and what is wrong", err)
	}
}
