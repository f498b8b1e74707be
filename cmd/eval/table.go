package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// printTable prints the table: a line for every condition.
func printTable(out io.Writer, rows []*row) {
	method := bestMethod(rows)
	fmt.Fprintf(out, `Steps found in sound.
n: recordings. F50, F25: F of the pairs within 50 and 25 ms; P, R: precision and recall within 50 ms.
bias, spread: mean and SD of the errors of the step times, ms; above 0 is late.
cad: mean absolute error of the cadence told, over the steps it was taken from, steps/min; 10 s: of the mean over %d s.
lock: s from the first step until %d right steps in a row had been told, mean.
half, dbl: windows and readings at half and double tempo. swap: times left and right changed their names.
uneven: error of the unevenness over 60 s, percentage points, worst.
delay, p95: ms from first contact until a right step was told, once locked: median and 95 %%.
false: steps a minute that were told while nobody walked.
aubio: F50 of its best method (%s); per file: of its best method on each recording.

`, trial.Window, score.LockSteps, or(method, "not run"))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "condition\tn\tF50\tF25\tP\tR\tbias\tspread\tcad\t10 s\tlock\thalf\tdbl\tswap\tuneven\tdelay\tp95\tfalse\taubio\tper file\t")
	for _, r := range rows {
		if r.nobody() {
			fmt.Fprintf(w, "%s\t%d%s\t%.1f\t-\t-\t\n", r.group, r.files, strings.Repeat("\t-", 15), r.ours.FalsePerMinute())
			continue
		}
		o := r.ours
		fmt.Fprintf(w, "%s\t%d\t%.3f\t%.3f\t%.3f\t%.3f\t%+.1f\t%.1f\t%.2f\t%.2f\t%s\t%d\t%d\t%d\t%s\t%s\t%s\t-\t%s\t\n",
			r.group, r.files, o.At50.F(), o.At25.F(), o.At50.Precision(), o.At50.Recall(),
			1000*o.At50.Bias(), 1000*o.At50.Spread(), o.OwnSteps.MeanAbs, o.Cadence.MeanAbs, cell(o.When.Lock.Mean(), 2),
			o.Cadence.Half+o.Readings.Half, o.Cadence.Double+o.Readings.Double, o.Swaps, cell(o.When.Uneven.Worst(), 2),
			cell(1000*o.When.Delay.Quantile(0.5), 0), cell(1000*o.When.Delay.Quantile(0.95), 0), r.reference(method))
	}
	w.Flush()
}

// reference is the cells about aubio.
func (r *row) reference(method string) string {
	s := r.aubio[method]
	if s == nil {
		return "-\t-"
	}
	return fmt.Sprintf("%.3f\t%.3f", s.F(), r.best.F())
}

// printLow names the recordings that went badly.
func printLow(out io.Writer, rows []*row) {
	fmt.Fprintf(out, "\nRecordings with F50 below %g\n\n", lowF)
	for _, r := range rows {
		for _, line := range r.low {
			fmt.Fprintln(out, " ", line)
		}
	}
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}
