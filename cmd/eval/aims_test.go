package main

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// found is an outcome of a minute with so many steps found and missed.
func found(tp, fn int) trial.Outcome {
	return trial.Outcome{Seconds: 60, At50: score.Result{TP: tp, FN: fn}, At25: score.Result{TP: tp, FN: fn}}
}

func TestAims(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	clean := &row{group: trial.CleanGroup, snr: inf, ours: found(100, 0)}
	clean.ours.When.Lock = score.Values{Got: []float64{1.5, 2}}
	clean.ours.When.InBand, clean.ours.When.Bands = 95, 100
	noisy := &row{group: "pink +0 dB", snr: 0, ours: found(90, 10)}
	noisy.ours.When.Lock = score.Values{Got: []float64{2}, None: 1}
	noisy.ours.Swaps = 2
	rows := []*row{
		clean, noisy,
		{group: "pink -12 dB", snr: -12, ours: found(80, 20)},
		{group: "soft surfaces", snr: inf, ours: found(50, 50)},
		{group: trial.NobodyGroup + "wind", snr: nan, ours: trial.Outcome{Seconds: 120, At50: score.Result{FP: 4}}},
		{group: recorded + "walk", snr: nan, ours: found(10, 90)}, // not of the made set
	}
	got := make(map[string]aim)
	for _, a := range aims(rows) {
		got[a.what] = a
	}
	for _, c := range []struct {
		what        string
		got, missed float64
	}{
		{"F50 at 0 dB and better", 380.0 / 390, 0.99 - 380.0/390},
		{"F50 of every condition at 0 dB and better; lowest: pink +0 dB", 180.0 / 190, 0.97 - 180.0/190},
		{"F50 at -6 dB, sharp surfaces", nan, nan},
		{"F50 at -12 dB, sharp surfaces", 160.0 / 180, 0},
		{"F50 on soft surfaces without noise", 100.0 / 150, 0.9 - 100.0/150},
		{"time to lock, clean", 1.75, 0},
		{"time to lock, 0 dB", inf, inf},
		{"true cadences inside the 95 % band, 0 dB and better", 95, 0},
		{"side swaps, 0 dB and better", 2, 2},
		{"false steps with nobody walking; most: wind", 2, 1},
	} {
		a, ok := got[c.what]
		if !ok {
			t.Errorf("no aim %q", c.what)
			continue
		}
		if !same(a.got, c.got) || !same(a.missed(), c.missed) {
			t.Errorf("%s: %v, missed by %v; want %v, %v", c.what, a.got, a.missed(), c.got, c.missed)
		}
	}
	if got := (aim{got: 99.5, lo: 90, hi: 99}).missed(); got != 0.5 {
		t.Errorf("99.5 misses 90 to 99 by %v, want 0.5", got)
	}
}

func same(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}

// Aims are printed apart and decide nothing.
func TestPrintAims(t *testing.T) {
	var out bytes.Buffer
	printAims(&out, []aim{
		{"a", "s", 1, 0, 2},
		{"b", "ms", 5, math.Inf(-1), 3},
		{"c", "", math.NaN(), 0.9, math.Inf(1)},
		{"d", "s", math.Inf(1), math.Inf(-1), 3},
	})
	for _, want := range []string{
		"met           a  0 to 2", "missed        b  at most 3     5.000 ms  by 2.000",
		"not measured  c  at least 0.9  -", "missed        d  at most 3     never s   it did not always happen", "1 of 3 aims met",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the aims lack %q:\n%s", want, out.String())
		}
	}
}
