package main

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// What is judged and what is only told, in the full run and in the short one.
func TestVerdicts(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		what        string
		b           bar
		full, short string
	}{
		{"inside", bar{got: 1, lo: 0, hi: 2}, held, held},
		{"on the limit", bar{got: 2, lo: -inf, hi: 2}, held, held},
		{"outside", bar{got: 3, lo: 0, hi: 2}, fails, fails},
		{"outside, full only", bar{got: 3, lo: 0, hi: 2, full: true}, fails, missed},
		{"inside, full only", bar{got: 1, lo: 0, hi: 2, full: true}, held, held},
		{"never", bar{got: inf, lo: -inf, hi: 2}, fails, fails},
		{"not measured", bar{got: nan, lo: 0, hi: 2}, fails, unknown},
		{"not measured, no data", bar{got: nan, lo: 0, hi: 2, needs: "needs --data"}, unknown, unknown},
	} {
		if got := c.b.verdict(false); got != c.full {
			t.Errorf("%s: %q in the full run, want %q", c.what, got, c.full)
		}
		if got := c.b.verdict(true); got != c.short {
			t.Errorf("%s: %q in the short run, want %q", c.what, got, c.short)
		}
	}
	if got := (bar{got: 99.5, lo: 90, hi: 99}).missed(); got != 0.5 {
		t.Errorf("99.5 misses 90 to 99 by %v, want 0.5", got)
	}
}

func TestPrintBars(t *testing.T) {
	var j judge
	j.between(0, 2, 1, "s", "a")
	j.most(3, 5, "ms", "b", inFull)
	j.least(0.9, math.NaN(), "", "c", with("needs --data"))
	var out bytes.Buffer
	if !printBars(&out, j.bars, true) {
		t.Error("the short run fails over what it does not judge")
	}
	for _, want := range []string{
		"held               a  0 to 2", "missed (full bar)  b  at most 3     5.000 ms  by 2.000",
		"not measured       c  at least 0.9  -         needs --data",
		"pass: 1 bars held; 1 missed that only the full run judges; 1 not measured",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the short verdict lacks %q:\n%s", want, out.String())
		}
	}
	out.Reset()
	j.most(3, math.Inf(1), "s", "d")
	if printBars(&out, j.bars, false) {
		t.Error("the full run passes with two bars missed")
	}
	for _, want := range []string{"FAIL          b", "FAIL          d", neverSaid, "fail: 2 of 4 bars missed; 1 not measured"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the full verdict lacks %q:\n%s", want, out.String())
		}
	}
}
