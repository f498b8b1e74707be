package trial

import (
	"math"
	"testing"

	"steadfoot/detect/score"
)

// A detector that goes over to the other walker when they come has strayed; one
// that stays has not.
func TestStrayed(t *testing.T) {
	truth := Truth{Seconds: 30, Joined: 10}
	var stays, strays Heard
	for i := range 60 {
		at := 0.5 * float64(i)
		truth.Times = append(truth.Times, at)
		stays.Times = append(stays.Times, at)
		if at < 10 {
			strays.Times = append(strays.Times, at)
		} else {
			strays.Times = append(strays.Times, at+0.25)
		}
	}
	stays.Given, strays.Given = stays.Times, strays.Times
	for name, c := range map[string]struct {
		h    Heard
		want float64
	}{"stays": {stays, 0}, "strays": {strays, 1}} {
		o := Judge(c.h, truth)
		if got := o.Strayed.Worst(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: strayed by %v, want %v", name, got, c.want)
		}
	}
	truth.Joined = 0
	if o := Judge(stays, truth); o.Strayed.N() != 0 {
		t.Error("strayed though nobody came")
	}
}

// The cadences and kinds that the bars ask for are there.
func TestTempos(t *testing.T) {
	groups := make(map[string]int)
	for _, c := range Tempos(20) {
		groups[c.Group]++
		c.Spec.Rate = 8000 // quick: only the times are looked at
		w, truth := c.Walk()
		got, ok := score.Mean(truth.Times, 0, 20)
		want := c.Spec.Cadence(0)
		if !ok || math.Abs(got-want) > 0.03*want || want < 90 || want > 230 {
			t.Errorf("%s: %.1f steps/min, want %.0f", c.Name, got, want)
		}
		if w.Rate*20 != float64(len(w.Samples)) {
			t.Errorf("%s: %d samples", c.Name, len(w.Samples))
		}
	}
	if len(groups) != 3 || groups[TempoGroup] != 8 {
		t.Errorf("groups %v, want three of eight walks", groups)
	}
}

func TestNearCases(t *testing.T) {
	for _, c := range OneOthers(4) {
		_, truth := c.Walk()
		if truth.Joined != joins || !math.IsNaN(c.SNR()) {
			t.Errorf("%s: another joins at %v s, SNR %v", c.Name, truth.Joined, c.SNR())
		}
	}
	levels := make(map[float64]bool)
	for _, c := range Levels(1) {
		levels[c.Spec.Level] = true
	}
	if len(levels) != 3 || !levels[-20] || !levels[-80] {
		t.Errorf("levels %v, want three over 60 dB", levels)
	}
}
