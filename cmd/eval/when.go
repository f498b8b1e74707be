package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"
)

// printMore prints what is worst in every condition, and what only some of them
// can show.
func printMore(out io.Writer, rows []*row) {
	fmt.Fprint(out, `
The worst, and what only some conditions show.
F50, 10 s, lock: of the worst recording, window or walk. change: s from a jump of the cadence by 10 % until locked, mean and worst.
invented: steps in a pause, most. stop: s from the last step until no rhythm says walking (one comes every 0.5 s), worst.
resume: s from the first step after a pause until locked, worst.
band: % of the cadences told whose 95 % band (1.96 SD) holds the true mean over the same steps.
stayed: F50 once another walker as loud has come, worst. moved: ms by which own clicks moved the timing bias.

`)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "condition\tF50\t10 s\tlock\tchange\tworst\tinvented\tstop\tresume\tband\tstayed\tmoved\t")
	for _, r := range rows {
		if r.nobody() {
			continue
		}
		o := r.ours
		moved := math.NaN()
		if r.bare.Seconds > 0 {
			moved = 1000 * (o.At50.Bias() - r.bare.At50.Bias())
		}
		fmt.Fprintf(w, "%s\t%.3f\t%.1f\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", r.group, o.Worst, o.Cadence.Worst,
			cell(o.When.Lock.Worst(), 2), cell(o.When.Change.Mean(), 2), cell(o.When.Change.Worst(), 2),
			cell(o.When.Invented.Worst(), 0), cell(o.When.Stop.Worst(), 2), cell(o.When.Resume.Worst(), 2),
			cell(100*o.When.Coverage(), 1), cell(1-o.Strayed.Worst(), 3), cell(moved, 1))
	}
	w.Flush()
}
