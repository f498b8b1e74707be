package main

import (
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

// biased is found, each step so many ms late.
func biased(tp int, ms float64) trial.Outcome {
	o := found(tp, 0)
	for range tp {
		o.At50.Errors = append(o.At50.Errors, ms/1000)
	}
	return o
}

func rowsForTest() []*row {
	inf, nan := math.Inf(1), math.NaN()
	clean := &row{group: trial.CleanGroup, snr: inf, ours: found(100, 0), aubio: map[string]*score.Result{"hfc": {TP: 50, FN: 50}}}
	clean.ours.When.Lock = score.Values{Got: []float64{1.5, 2}}
	clean.ours.When.InBand, clean.ours.When.Bands = 95, 100
	noisy := &row{group: "pink +0 dB", snr: 0, ours: found(90, 10)}
	noisy.ours.When.Lock = score.Values{Got: []float64{2}, None: 1}
	noisy.ours.Swaps = 2
	other := &row{group: trial.OneOtherGroup, snr: nan, ours: found(50, 50)}
	other.ours.Strayed = score.Values{Got: []float64{0.02, 0.3}}
	half := &row{group: trial.TempoGroup + ", one foot 12 dB quieter", snr: inf, ours: found(100, 0)}
	half.ours.Cadence.Half, half.ours.Readings.Double = 1, 2
	return []*row{
		clean, noisy, other, half,
		{group: "pink -12 dB", snr: -12, ours: found(80, 20)},
		{group: trial.SoftGroup, snr: inf, ours: found(50, 50)},
		{group: leakGroup + "other tempo", snr: nan, ours: biased(100, 5), bare: biased(100, 1)},
		{group: leakGroup + "on the steps", snr: nan, ours: biased(10, 50), bare: biased(10, 1)}, // not among the bars
		{group: trial.NobodyGroup + "wind", snr: nan, ours: trial.Outcome{Seconds: 120, At50: score.Result{FP: 4}}},
		{group: trial.NobodyGroup + trial.MachineName + "sewing", snr: nan, ours: trial.Outcome{Seconds: 60, At50: score.Result{FP: 99}}},
		{group: trial.NobodyGroup + recorded + "HipHop", snr: nan, ours: trial.Outcome{Seconds: 60, At50: score.Result{FP: 99}}},
		{group: recorded + "walk", snr: nan, ours: found(10, 90)}, // not of the made set
	}
}

func TestSoundBars(t *testing.T) {
	var j judge
	j.sound(rowsForTest())
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		what        string // how it begins
		got, missed float64
	}{
		{"F50 at 0 dB and better", 580.0 / 590, 0.99 - 580.0/590},
		{"F50 of every condition at 0 dB and better; lowest: pink +0 dB", 180.0 / 190, 0.97 - 180.0/190},
		{"F50 at -6 dB, sharp surfaces", nan, nan},
		{"F50 at -12 dB, sharp surfaces", 160.0 / 180, 0},
		{"F50 on soft surfaces without noise; spread 0.0 ms", 100.0 / 150, 0.9 - 100.0/150},
		{"time to lock, clean", 1.75, 0},
		{"time to lock, 0 dB", inf, inf},
		{"true cadences inside the 95 % band, 0 dB and better", 95, 0},
		{"left and right swapped", 2, 2},
		{"half or double tempo, " + trial.TempoGroup + ", one foot", 3, 3},
		{"F50 of the own walker once one other", 0.7, 0.2},
		{"F50 with own clicks as loud as the steps; lowest: leak, other tempo", 1, 0},
		{"timing bias moved by own clicks, most: leak, other tempo", 4, 1},
		{"false steps with nobody walking; most: wind", 2, 1},
		{"in silence, noise, wind", 4, 4},
		{"F50 of every walk given; lowest: walk", 20.0 / 110, 0.95 - 20.0/110},
		{"F50 above that of aubio's best method, hfc (0.667)", 580.0/590 - 100.0/150, 0},
	} {
		b, ok := barNamed(j.bars, c.what)
		if !ok {
			t.Errorf("no bar %q", c.what)
			continue
		}
		if !same(b.got, c.got) || !same(b.missed(), c.missed) {
			t.Errorf("%s: %v, missed by %v; want %v, %v", c.what, b.got, b.missed(), c.got, c.missed)
		}
	}
}

func barNamed(all []bar, prefix string) (bar, bool) {
	for _, b := range all {
		if strings.HasPrefix(b.what, prefix) {
			return b, true
		}
	}
	return bar{}, false
}

func same(a, b float64) bool {
	return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}
