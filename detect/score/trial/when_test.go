package trial

import (
	"math"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

// A made-up detector: every step told 30 ms late, three steps too many in the
// pause, and 'not walking' said 1.2 s after the last step.
func TestWhen(t *testing.T) {
	var truth Truth
	for i := range 40 {
		at := 1 + 0.5*float64(i)
		if i >= 20 {
			at += 5
		}
		truth.Times = append(truth.Times, at)
	}
	truth.Seconds, truth.Changes = 27, []float64{4.9}
	h := Heard{Quiet: []float64{0.5, 11.7, 12.2}}
	add := func(at float64) { h.Times, h.Given = append(h.Times, at), append(h.Given, at+0.03) }
	for i, at := range truth.Times {
		add(at)
		if i == 19 {
			add(at + 0.5)
			add(at + 1)
			add(at + 1.5)
		}
	}
	w := judgeWhen(h, truth)
	for _, c := range []struct {
		what      string
		got       score.Values
		n         int
		mean, max float64
	}{
		{"lock", w.Lock, 1, 2.03, 2.03},
		{"change", w.Change, 1, 2.13, 2.13}, // from 4.9 s; the steps from 5 s on
		{"resume", w.Resume, 1, 2.03, 2.03},
		{"invented", w.Invented, 1, 3, 3},
		{"stop", w.Stop, 1, 1.2, 1.2},
		{"delay", w.Delay, 30, 0.03, 0.03},
		{"unevenness", w.Uneven, 0, math.NaN(), math.NaN()}, // too short
	} {
		if c.got.N() != c.n {
			t.Errorf("%s: %d occasions, want %d", c.what, c.got.N(), c.n)
		} else if c.n > 0 && (math.Abs(c.got.Mean()-c.mean) > 1e-9 || math.Abs(c.got.Worst()-c.max) > 1e-9) {
			t.Errorf("%s: mean %v, worst %v, want %v and %v", c.what, c.got.Mean(), c.got.Worst(), c.mean, c.max)
		}
	}
	h.Quiet = h.Quiet[:1]
	if w := judgeWhen(h, truth); w.Stop.None != 1 {
		t.Error("'not walking' never said, and not noted")
	}
	w.Add(w)
	if w.Lock.N() != 2 || w.Delay.N() != 60 {
		t.Errorf("two recordings: %d locks and %d delays, want 2 and 60", w.Lock.N(), w.Delay.N())
	}
}

// What Hear notes beside the steps.
func TestHear(t *testing.T) {
	w := made.Spec{Seed: 1, Duration: 12, Gait: made.Gait{Cadence: made.Steady(180), JitterCV: 1}}.Walk()
	h, err := Hear(w.Samples, w.Rate)
	if err != nil {
		t.Fatal(err)
	}
	if len(h.Times) < 30 || len(h.Given) != len(h.Times) || len(h.Sides) != len(h.Times) {
		t.Fatalf("%d steps, %d times of telling, %d sides", len(h.Times), len(h.Given), len(h.Sides))
	}
	for i, g := range h.Given {
		if g < h.Times[i] || i > 0 && g < h.Given[i-1] || g > 12 {
			t.Fatalf("step %d at %v s was told at %v s", i, h.Times[i], g)
		}
	}
	last := h.Readings[len(h.Readings)-1]
	n := math.Round((last.To - last.From) * last.Cadence / 60)
	if want := 60 * n / (last.To - last.From); math.Abs(want-last.Cadence) > 1e-6 || int(n)%2 != 0 {
		t.Errorf("cadence %v taken over %v s, which is %v steps", last.Cadence, last.To-last.From, n)
	}
	if len(h.Quiet) == 0 || h.Quiet[0] != 0.5 {
		t.Errorf("rhythms without a walk at %v, want the first at 0.5 s", h.Quiet)
	}
}

func TestCases(t *testing.T) {
	for _, c := range []struct {
		cases []Case
		snr   float64
	}{{Clean(), math.Inf(1)}, {Noisy(-6, 1), -6}, {Soft(-12, 2), -12}, {Pictured("p", true, 3, 1), 3}, {Nobody(1), math.NaN()}} {
		for _, one := range c.cases {
			if got := one.SNR(); got != c.snr && !(math.IsNaN(got) && math.IsNaN(c.snr)) {
				t.Errorf("%s: SNR %v, want %v", one.Name, got, c.snr)
			}
		}
	}
	changes := 0
	for _, c := range Timed(3) {
		_, truth := c.Walk()
		for _, at := range truth.Changes {
			changes++
			before, _ := score.Mean(truth.Times, at-5, at)
			if now, _ := score.Mean(truth.Times, at, at+5); math.Abs(math.Abs(now/before-1)-0.1) > 0.04 {
				t.Errorf("%s: %.1f steps/min before %v s and %.1f after", c.Name, before, at, now)
			}
		}
	}
	if changes != 12 {
		t.Errorf("%d changes in three walks with and without noise, want 12", changes)
	}
}
