package main

import (
	"bytes"
	"strings"
	"testing"

	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// A joining that is worse than one alone, or invents steps, fails.
func TestBothBars(t *testing.T) {
	f := func(hits, missed int) trial.Outcome {
		return trial.Outcome{Seconds: 60, At50: score.Result{TP: hits, FN: missed}}
	}
	row := func(group string, sound, felt, joined trial.Outcome) *bothRow {
		return &bothRow{group, 1, trial.Judged{Sound: sound, Felt: felt, Joined: joined}}
	}
	invented := func(n int) trial.Outcome { return trial.Outcome{Seconds: 60, At50: score.Result{FP: n}} }
	for _, c := range []struct {
		what string
		row  *bothRow
		want string
	}{
		{"as good", row("clean", f(99, 1), f(50, 50), f(99, 1)), held},
		{"worse", row("clean", f(99, 1), f(50, 50), f(97, 3)), fails},
		{"much better", row(trial.BothFailGroup, f(50, 50), f(50, 50), f(90, 10)), held},
		{"not much better", row(trial.BothFailGroup, f(50, 50), f(50, 50), f(52, 48)), fails},
		{"invents no more", row(trial.HandsGroup, invented(3), invented(5), invented(6)), held},
		{"invents more", row(trial.HandsGroup, invented(3), invented(5), invented(7)), fails},
	} {
		var j judge
		j.both([]*bothRow{c.row})
		if got := j.bars[0].verdict(true); got != c.want {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
	}
	var out bytes.Buffer
	printBoth(&out, []*bothRow{row("clean", f(99, 1), f(50, 50), f(90, 10)), row(trial.HandsGroup, invented(1), invented(2), invented(4))})
	for _, want := range []string{"clean  1  0.995", "0.667", "0.947", "1.0     2.0     4.0"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the table lacks %q:\n%s", want, out.String())
		}
	}
}
