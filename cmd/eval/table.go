package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"steadfoot/detect/score/trial"
)

// nobody tells whether a row is of recordings in which nobody walks.
func (r *row) nobody() bool { return strings.HasPrefix(r.group, trial.NobodyGroup) }

// printWalks prints the table of walks.
func printWalks(out io.Writer, rows []*row) {
	method := bestMethod(rows)
	fmt.Fprintf(out, "Walks. F, P, R: pairs within 50 ms; F25: 25 ms; worst: lowest F of one recording.\n"+
		"bias, spread: of the step times, ms. cad: mean absolute error of the cadence over %d s, steps/min, max: its worst;\n"+
		"said: mean absolute error of the reported cadence. half, dbl: windows at half or double tempo; swap: times left and right changed names.\n"+
		"aubio: F of its best method (%s); per file: of its best method on each recording.\n\n", trial.Window, or(method, "not run"))
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "condition\tn\tF\tworst\tF25\tP\tR\tbias\tspread\tcad\tmax\tsaid\thalf\tdbl\tswap\taubio\tper file\t")
	for _, r := range rows {
		if r.nobody() {
			continue
		}
		o := r.ours
		fmt.Fprintf(w, "%s\t%d\t%.3f\t%.3f\t%.3f\t%.3f\t%.3f\t%+.1f\t%.1f\t%.2f\t%.1f\t%.2f\t%d\t%d\t%d\t%s\t\n",
			r.group, r.files, o.At50.F(), o.Worst, o.At25.F(), o.At50.Precision(), o.At50.Recall(),
			1000*o.At50.Bias(), 1000*o.At50.Spread(), o.Cadence.MeanAbs, o.Cadence.Worst, o.Readings.MeanAbs,
			o.Cadence.Half+o.Readings.Half, o.Cadence.Double+o.Readings.Double, o.Swaps, r.reference(method))
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

// printNobody prints what was invented when nobody walked.
func printNobody(out io.Writer, rows []*row) {
	fmt.Fprintf(out, "\nNobody walking: false steps a minute\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, r := range rows {
		if r.nobody() {
			name := strings.TrimPrefix(r.group, trial.NobodyGroup)
			fmt.Fprintf(w, "%s\t%.0f s\t%.1f\t\n", name, r.ours.Seconds, r.ours.FalsePerMinute())
		}
	}
	w.Flush()
}

// printLow names the recordings that went badly.
func printLow(out io.Writer, rows []*row) {
	fmt.Fprintf(out, "\nRecordings with F below %g\n\n", lowF)
	for _, r := range rows {
		for _, line := range r.low {
			fmt.Fprintln(out, " ", line)
		}
	}
}

// printCounts prints the totals found in sensor recordings.
func printCounts(out io.Writer, counts []count) {
	fmt.Fprintf(out, "\nAccelerometer: steps in all\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "recording\ttrue\tfound\terror\t")
	for _, c := range counts {
		fmt.Fprintf(w, "%s\t%d\t%d\t%s\t\n", c.name, c.want, c.got, c.percent())
	}
	w.Flush()
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}
