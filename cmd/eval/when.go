package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"steadfoot/detect/score"
)

// printWhen prints how soon things were told, and what was said of whole walks.
func printWhen(out io.Writer, rows []*row) {
	fmt.Fprintf(out, "\nHow soon. lock: s from the first step until %d right steps in a row had been told, mean and worst;\n"+
		"change: the same from a jump of the cadence by 10 %%; resume: from the first step after a pause.\n"+
		"invented: steps in a pause, most; stop: s from the last step until no rhythm says walking (one comes every 0.5 s), worst.\n"+
		"delay: ms from the first contact (its sound goes on for some 100) until a right step was told, once locked: median and 95 %%.\n"+
		"band: %% of reported cadences whose 95 %% band (1.96 SD) holds the true mean over the same steps.\n"+
		"uneven: error of the unevenness over 60 s, percentage points, mean and worst.\n\n", score.LockSteps)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "condition\tlock\tworst\tchange\tworst\tinvented\tstop\tresume\tdelay\tp95\tband\tuneven\tworst\t")
	for _, r := range rows {
		if r.nobody() {
			continue
		}
		o := r.ours.When
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", r.group,
			cell(o.Lock.Mean(), 2), cell(o.Lock.Worst(), 2), cell(o.Change.Mean(), 2), cell(o.Change.Worst(), 2),
			cell(o.Invented.Worst(), 0), cell(o.Stop.Worst(), 2), cell(o.Resume.Worst(), 2),
			cell(1000*o.Delay.Quantile(0.5), 0), cell(1000*o.Delay.Quantile(0.95), 0), cell(100*o.Coverage(), 1),
			cell(o.Uneven.Mean(), 2), cell(o.Uneven.Worst(), 2))
	}
	w.Flush()
}

// cell is a number for a table: "-" where there is none, "never" when what was
// waited for did not come.
func cell(v float64, decimals int) string {
	switch {
	case math.IsNaN(v):
		return "-"
	case math.IsInf(v, 0):
		return "never"
	}
	return fmt.Sprintf("%.*f", decimals, v)
}
