package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

func TestFeltFolder(t *testing.T) {
	dir := t.TempDir()
	accel := filepath.Join(dir, "accel", "phone_walks")
	if err := os.MkdirAll(accel, 0o755); err != nil {
		t.Fatal(err)
	}
	m := made.MotionSpec{Seed: 1, Duration: 40, Gait: made.Gait{Cadence: made.Steady(110)}}.Motion()
	csv, times := []byte("t_s,ax_mps2,ay_mps2,az_mps2\n"), []byte(nil)
	for _, r := range m.Rows {
		csv = fmt.Appendf(csv, "%f,%f,%f,%f\n", r.T, r.X, r.Y, r.Z)
	}
	for _, s := range m.Steps {
		times = fmt.Appendf(times, "%f\n", s.T)
	}
	write := func(name string, content []byte) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(accel, name), content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("a.csv", csv)
	write("a.count.txt", fmt.Appendln(nil, len(m.Steps)))
	write("a.steps.txt", times)
	write("b.csv", csv)
	write("b.count.txt", []byte("40"))
	all, err := feltFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].want != len(m.Steps) || all[1].want != 40 || all[0].got == 0 || all[0].got != all[1].got {
		t.Fatalf("felt %+v, want the same steps in both", all)
	}
	if c := all[0].cadence; c.N != 2 || c.Close != 2 || all[1].cadence.N != 0 {
		t.Errorf("cadence %+v and %+v, want two windows, both near, and none", c, all[1].cadence)
	}
	var out bytes.Buffer
	printFelt(&out, all)
	if want := fmt.Sprintf("phone_walks          a    %d ", len(m.Steps)); !strings.Contains(out.String(), want) || !strings.Contains(out.String(), "2 of 2") {
		t.Errorf("the table lacks %q:\n%s", want, out.String())
	}
	write("a.count.txt", []byte("many"))
	if _, err := feltFolder(dir); err == nil || !strings.HasSuffix(err.Error(), "a.count.txt: want one whole number") {
		t.Errorf("error %v, want the file and what is wrong", err)
	}
}

func TestSensorBars(t *testing.T) {
	near := score.Tempo{N: 10, Close: 9}
	var j judge
	j.felt([]felt{
		{folder: madeFolder, name: "w", seconds: 60, want: 100, got: 98, cadence: near},
		{folder: madeFolder, name: "v", seconds: 60, want: 100, got: 101, cadence: near},
		{folder: idleFolder, name: "h", seconds: 120, got: 8},
		{folder: "phone_walks", name: "p", seconds: 200, want: 400, got: 402, cadence: near},
		{folder: "phone_counts", name: "c", want: 10, got: 9},
		{folder: "phone_counts", name: "d", want: 10, got: 10},
		{folder: "wrist", name: "dishwasher", seconds: 60, want: 14, got: 4},
		{folder: "wrist", name: "fast-walking", seconds: 60, want: 150, got: 150},
	})
	for _, c := range []struct {
		what string
		got  float64
		ok   bool
	}{
		{"sensor: total of a made walk, most: w", 2, false},
		{"sensor: windows with the cadence within 2 steps/min, made", 90, false},
		{"sensor: steps with nobody walking, made; most: h", 4, false},
		{"sensor: total of each of phone_walks, most: p", 0.5, true},
		{"sensor: windows with the cadence within 2 steps/min, phone_walks", 90, false},
		{"sensor: total of phone_counts together (1 of 2 within 3 % alone)", 5, false},
		{"sensor: steps of wrist without walking, most: dishwasher", 4, false},
	} {
		b, found := barNamed(j.bars, c.what)
		if !found || !same(b.got, c.got) || (b.verdict(false) == held) != c.ok {
			t.Errorf("%s: %+v, want %v, held %v", c.what, b, c.got, c.ok)
		}
	}
	var none judge
	none.felt(nil)
	for _, b := range none.bars {
		if v := b.verdict(false); v != unknown && b.needs != "" || v != fails && b.needs == "" {
			t.Errorf("%s without recordings: %s", b.what, v)
		}
	}
}
