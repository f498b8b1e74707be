package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// bar is one thing that must hold.
type bar struct {
	what string
	ok   bool
}

// bars judges the rows.
func bars(rows []*row, counts []count) []bar {
	var all []bar
	add := func(ok bool, format string, a ...any) { all = append(all, bar{fmt.Sprintf(format, a...), ok}) }
	if bestMethod(rows) == "" {
		add(os.Getenv("CI") == "", "aubioonset was not there to compare with (must be in CI)")
	}
	var noisy []*row // all walks with noise 5 dB below the steps
	for _, r := range rows {
		o := r.ours
		switch {
		case r.nobody() && strings.Contains(r.group, recorded) && !voices(r.group):
			// Machines and drums may pass for a walk: shown, not judged.
		case r.nobody():
			add(o.At50.FP == 0, "%s: no step (%d)", r.group, o.At50.FP)
		case strings.HasPrefix(r.group, recorded):
			add(o.At50.F() >= 0.95, "%s: F at least 0.95 (%.3f)", r.group, o.At50.F())
		case strings.HasPrefix(r.group, trial.CleanGroup):
			add(o.At50.F() >= 0.98, "%s: F at least 0.98 (%.3f)", r.group, o.At50.F())
			add(o.Cadence.Worst <= 1, "%s: cadence within 1 step/min over 10 s (%.2f)", r.group, o.Cadence.Worst)
			halves := o.Cadence.Half + o.Cadence.Double + o.Readings.Half + o.Readings.Double
			add(halves == 0, "%s: no half or double tempo (%d)", r.group, halves)
		case strings.HasSuffix(r.group, " +5 dB"):
			add(o.At50.F() >= 0.95, "%s: F at least 0.95 (%.3f)", r.group, o.At50.F())
			noisy = append(noisy, r)
		}
	}
	if m := bestMethod(noisy); m != "" {
		ours, theirs := pooled(noisy, m)
		add(ours.F() > theirs.F(), "all at +5 dB: better than aubio's best method, %s (%.3f against %.3f)", m, ours.F(), theirs.F())
	}
	for _, c := range counts {
		if limit, ok := c.limit(); ok {
			add(c.off() <= limit, "%s: total within %g %% (%s)", c.name, 100*limit, c.percent())
		}
	}
	return all
}

// pooled sums our pairs and those of an aubio method over rows.
func pooled(rows []*row, method string) (ours, theirs score.Result) {
	for _, r := range rows {
		ours.Add(r.ours.At50)
		theirs.Add(*r.aubio[method])
	}
	return ours, theirs
}

// voices tells whether a recording without a walker is of people's voices.
func voices(name string) bool {
	name = strings.ToLower(name)
	for _, word := range []string{"voice", "speech", "party", "cough"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	return false
}

// printBars prints the bars that failed, and the verdict.
func printBars(out io.Writer, all []bar) (passed bool) {
	failed := 0
	fmt.Fprintln(out)
	for _, b := range all {
		if !b.ok {
			fmt.Fprintln(out, "FAIL", b.what)
			failed++
		}
	}
	if failed > 0 {
		fmt.Fprintf(out, "fail: %d of %d bars missed\n", failed, len(all))
		return false
	}
	fmt.Fprintf(out, "pass: all %d bars held\n", len(all))
	return true
}
