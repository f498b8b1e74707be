package main

import (
	"math"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// madeBeats is a minute of beats at pathTarget.
func madeBeats() (at []float64) {
	for b := 5.0; b < 65; b += 60 / pathTarget {
		at = append(at, b)
	}
	return at
}

// recorded is what a recorder that began 3 s earlier has of clicks that took 80 ms,
// and by more from the given time on.
func recorded(at []float64, more float64, from float64) (heard []int64) {
	for _, t := range at {
		if t += 3.08; t >= from+3.08 {
			t += more
		}
		heard = append(heard, int64(math.Round(t*audio.Rate)))
	}
	return heard
}

// A click that is off is held against the beat; a path that has grown longer is not.
func TestSoakHeard(t *testing.T) {
	at := madeBeats()
	good := recorded(at, 0, 0)
	for name, c := range map[string]struct {
		heard   []int64
		bad     []float64
		off     float64 // ms
		unheard int
		slips   int
	}{
		"all in place":        {heard: good},
		"one late":            {heard: shifted(good, 90, 96), off: 2},
		"one early":           {heard: shifted(good, 90, -240), off: -5},
		"one missing":         {heard: slices.Delete(slices.Clone(good), 90, 91), unheard: 1},
		"many missing":        {heard: slices.Delete(slices.Clone(good), 90, 120), unheard: 30},
		"the server slips":    {heard: recorded(at, 0.021, 30), slips: 1},
		"it slips far":        {heard: recorded(at, 0.140, 30), slips: 1},
		"missing by a fault":  {heard: slices.Delete(slices.Clone(good), 90, 92), bad: []float64{at[91]}},
		"one late by a fault": {heard: shifted(good, 90, 96), bad: []float64{at[91]}},
	} {
		t.Run(name, func(t *testing.T) {
			var f soakFigures
			f.judgeHeard(at, c.heard, c.bad, nil)
			if math.Abs(1000*f.heard-math.Abs(c.off)) > 0.1 || f.unheard != c.unheard || len(f.slips) != c.slips {
				t.Errorf("%.3f ms off, %d unheard, slips at %v; want %.0f ms, %d, %d", 1000*f.heard, f.unheard, f.slips, math.Abs(c.off), c.unheard, c.slips)
			}
			if (len(c.bad) > 0 || c.slips > 0) != (f.spared > 0) {
				t.Errorf("%d were not judged", f.spared)
			}
		})
	}
}

// While two streams learn their clocks a beat is held to another bar.
func TestSoakLearning(t *testing.T) {
	at := madeBeats()
	good := recorded(at, 0, 0)
	var f soakFigures
	f.judgeHeard(at, shifted(shifted(good, 10, 72), 180, 24), nil, []float64{0, 35})
	if math.Abs(f.learnt-0.0015) > 1e-4 || f.heard > 1e-4 {
		t.Errorf("%.3f ms off while learning, %.3f ms else", 1000*f.learnt, 1000*f.heard)
	}
	f = soakFigures{}
	f.judgeHeard(at, shifted(good, 95, 24), nil, []float64{0})
	if f.learnt > 1e-4 || math.Abs(f.heard-0.0005) > 1e-4 {
		t.Errorf("%.3f ms off while learning, %.3f ms else", 1000*f.learnt, 1000*f.heard)
	}
}

func shifted(heard []int64, i int, by int64) []int64 {
	heard = slices.Clone(heard)
	heard[i] += by
	return heard
}

// A beat must be put out in its place, whatever else happens.
func TestSoakPut(t *testing.T) {
	at := madeBeats()
	put := make([]int64, len(at))
	for i, b := range at {
		put[i] = int64(math.Round(b*audio.Rate)) + 31 // where a click is found
	}
	put[40] += 72
	put = slices.Delete(put, 60, 61)
	var f soakFigures
	if got := f.judgePut(at, put); len(got) != len(at)-1 || f.lost != 1 || math.Abs(f.putOut-0.0015) > 1e-4 {
		t.Errorf("%d of %d found, %d lost, %.3f ms off; want 1 lost, 1.5 ms off", len(got), len(at), f.lost, 1000*f.putOut)
	}
}

// Sound that is missing is the walk's fault unless the device tells of a fault, or
// the kernel of a thread that had no processor.
func TestSoakBlame(t *testing.T) {
	for name, c := range map[string]struct {
		spoil  func(r []reading, g []glance)
		faults []float64
		want   [3]int // ours, device, starved
	}{
		"all is well":             {spoil: func([]reading, []glance) {}},
		"missing":                 {spoil: soundMissing, want: [3]int{1, 0, 0}},
		"missing, by a fault":     {spoil: soundMissing, faults: []float64{19.5}, want: [3]int{0, 1, 0}},
		"missing, and starved":    {spoil: both(soundMissing, starved), want: [3]int{0, 0, 1}},
		"starved a little":        {spoil: both(soundMissing, func(_ []reading, g []glance) { g[20].starved = soakStarved / 2 }), want: [3]int{1, 0, 0}},
		"starved at another time": {spoil: both(soundMissing, func(_ []reading, g []glance) { g[30].starved = 1 }), want: [3]int{1, 0, 0}},
		"a callback too long":     {spoil: tooLong, want: [3]int{1, 0, 0}},
		"too long, and starved":   {spoil: both(tooLong, starved), want: [3]int{0, 0, 1}},
		"the device ran dry": {spoil: func(r []reading, _ []glance) {
			for i := 20; i < len(r); i++ {
				r[i].Sound.Underruns = 1
			}
		}, want: [3]int{0, 1, 0}},
	} {
		t.Run(name, func(t *testing.T) {
			r, g := make([]reading, 60), make([]glance, 60)
			for i := range r {
				r[i].Clock, r[i].Session, g[i].readings = float64(i), float64(i), i+1
			}
			c.spoil(r, g)
			var f soakFigures
			at := f.xruns(r, g, c.faults)
			if got := [3]int{f.ours, f.device, f.starved}; got != c.want {
				t.Errorf("ours, device, starved: %v, want %v", got, c.want)
			}
			if any := c.want != [3]int{}; any != nearAny(at, 19.5, 1) {
				t.Errorf("it was at %v", at)
			}
		})
	}
}

func soundMissing(r []reading, _ []glance) {
	for i := 20; i < len(r); i++ {
		r[i].Sound.Missing = 480
	}
}

func starved(_ []reading, g []glance) { g[20].starved = 2 * soakStarved }

func tooLong(_ []reading, g []glance) {
	for i := 20; i < len(g); i++ {
		g[i].spent.Took.Over = 1
	}
}

func both(a, b func([]reading, []glance)) func([]reading, []glance) {
	return func(r []reading, g []glance) { a(r, g); b(r, g) }
}

// A step that is not in the log is missed, one between two is made up.
func TestSoakSteps(t *testing.T) {
	var log []event.Event
	for i := range 200 {
		if i != 50 && i != 51 && i != 120 {
			log = append(log, event.Step{Step: detect.Step{T: 5 + float64(i)*60/pathCadence}})
		}
		if i == 70 {
			log = append(log, event.Step{Step: detect.Step{T: 5.1 + float64(i)*60/pathCadence}})
		}
	}
	var f soakFigures
	f.judgeSteps(log, []float64{5 + 120*60/pathCadence})
	if f.steps != 198 || f.missed != 2 || f.madeUp != 1 {
		t.Errorf("%d steps, %d missed, %d made up; want 198, 2, 1", f.steps, f.missed, f.madeUp)
	}
}
