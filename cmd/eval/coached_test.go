package main

import (
	"bytes"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/sim"
)

// A few walkers for a few minutes: every manner and class has its line, and the
// numbers are the same however many walk at a time.
func TestCoached(t *testing.T) {
	walkers, all := sim.Population(5, 10), manners()
	outings, err := coachWalkers(walkers, all, 180)
	if err != nil {
		t.Fatal(err)
	}
	again, err := coachWalkers(walkers[3:4], all, 180)
	if err != nil {
		t.Fatal(err)
	}
	for m := range all {
		if again[m][0].number = 3; !reflect.DeepEqual(outings[m][3], again[m][0]) {
			t.Errorf("%s: a walker's outing differs with and without the others", all[m].name)
		}
	}
	var out bytes.Buffer
	printDriven(&out, all[:1], [][]outing{{{number: 7, walker: walkers[0], driven: true}, {number: 8}}})
	if s := out.String(); !strings.Contains(s, "alone: walker 7, responsive, overreacts: true;") || strings.Contains(s, "walker 8") {
		t.Errorf("driven: %s", s)
	}
	out.Reset()
	printCoached(&out, all, outings, 180)
	lines := make(map[string]bool)
	for line := range strings.Lines(out.String()) {
		lines[strings.Join(strings.Fields(line), " ")] = true
	}
	for _, m := range all {
		for _, c := range sim.Classes {
			found := false
			for line := range lines {
				found = found || strings.HasPrefix(line, m.name+" "+string(c)+" ")
			}
			if !found {
				t.Errorf("the table has no line for %s, %s:\n%s", m.name, c, out.String())
			}
		}
	}
}

func TestCoachedFails(t *testing.T) {
	walkers := sim.Population(5, 2)
	walkers[1].Target = 1000
	if _, err := coachWalkers(walkers, manners(), 60); err == nil || !strings.HasPrefix(err.Error(), "walker 1: alone: target cadence is 1000") {
		t.Errorf("error %v, want who and what", err)
	}
}

// One line, with what is not there left out.
func TestCoachedLine(t *testing.T) {
	got := coachedLine([]outing{
		{band: sim.Band{Inside: 0.5, Reached: 10, Out: []float64{4, 6, 8}, Overshoot: 2}, words: sim.Words{PerMinute: 1, Most: 2},
			beat: sim.Beat{Steps: 10, Heard: 0.8, With: 0.5, Mean: -0.04, SD: 0.01, R: 0.9}, swing: sim.Swing{Amplitude: 1}, lost: 1},
		{band: sim.Band{Inside: 0.7, Off: -1, Reached: math.Inf(1)}, words: sim.Words{PerMinute: 2, Most: 3}, swing: sim.Swing{Amplitude: 3}, driven: true},
	})
	want := "2 60.0 50.0 -0.5 never 1 6.0 1.0 1.50 2.00 3 40 50 -40 10 0.90 1.00 2.00 3.00 1"
	if s := strings.Join(strings.Fields(got), " "); s != want {
		t.Errorf("%s\nwant\n%s", s, want)
	}
}

func TestCoachedBars(t *testing.T) {
	all := []manner{{name: "alone", nothing: true}, {name: "beat"}, {name: "both", words: true, judged: true}}
	of := func(inside float64, most int, driven bool) []outing {
		o := outing{walker: sim.Walker{Class: sim.Responsive}, band: sim.Band{Inside: inside}, words: sim.Words{Most: most}, driven: driven}
		other := o // of another class: it may be out of the band
		other.walker.Class, other.band.Inside = sim.Slow, 1-inside
		return []outing{o, other}
	}
	for _, c := range []struct {
		name    string
		outings [][]outing
		missed  []string
	}{
		{"all good", [][]outing{of(0.2, 0, false), of(0.1, 9, false), of(0.9, 3, false)}, nil},
		{"who needs no coach", [][]outing{of(0.6, 0, false), of(0.9, 0, false), of(0.9, 3, false)}, []string{"alone: responsive"}},
		{"no help", [][]outing{of(0.2, 0, false), of(0.9, 0, false), of(0.8, 3, false)}, []string{"both: responsive"}},
		{"too many words, swinging", [][]outing{of(0.2, 0, false), of(0.9, 0, true), of(0.9, 4, true)}, []string{"beat: walkers driven", "both: walkers driven", "both: cues"}},
	} {
		var j judge
		j.coached(all, c.outings)
		var missed []string
		for _, b := range j.bars {
			if b.missed() > 0 {
				missed = append(missed, b.what)
			}
		}
		if len(missed) != len(c.missed) {
			t.Errorf("%s: missed %q, want %q", c.name, missed, c.missed)
			continue
		}
		for i, want := range c.missed {
			if !strings.HasPrefix(missed[i], "coaching, "+want) {
				t.Errorf("%s: missed %q, want %q", c.name, missed[i], want)
			}
		}
	}
}

// A change must change something: each line of the table is a walker unlike the
// one as drawn.
func TestChanges(t *testing.T) {
	drawn := sim.Population(5, 1)[0]
	for i, c := range changes {
		w := drawn
		if c.to(&w); reflect.DeepEqual(w, drawn) != (i == 0) {
			t.Errorf("%s: the walker as drawn and changed: %v", c.name, reflect.DeepEqual(w, drawn))
		}
	}
}

func TestDrawWalker(t *testing.T) {
	if w := sim.Population(coachedSeed, drawnWalker+1)[drawnWalker]; w.Class != sim.Responsive || w.Over {
		t.Errorf("the walker in the picture is %s, overreacts: %v", w.Class, w.Over)
	}
	path := filepath.Join(t.TempDir(), "w.svg")
	if err := drawWalker(path); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"words only", "on demand, words", "time (min)", "cadence (steps/min)", "Line: coached."} {
		if !bytes.Contains(b, []byte(want)) {
			t.Errorf("the picture lacks %q", want)
		}
	}
	if err := drawWalker(filepath.Join(t.TempDir(), "none", "w.svg")); err == nil {
		t.Error("drawn in a folder that is not there")
	}
}

// The whole hook, in its short form.
func TestCoachedShort(t *testing.T) {
	if testing.Short() {
		t.Skip("280 walks")
	}
	bars, err := coached(coachedOptions{}, true, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	if len(bars) < 10 {
		t.Errorf("%d bars", len(bars))
	}
	for _, b := range bars {
		if math.IsNaN(b.got) {
			t.Errorf("%s: not measured", b.what)
		}
	}
}
