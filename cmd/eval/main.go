// Eval measures the step detector on made walks and, when given, on a folder of
// recordings, prints one table, and ends with pass or fail against the bars.
//
//	go run ./cmd/eval [--short] [--data DIR]
package main

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/pflag"

	"steadfoot/detect/score/aubio"
	"steadfoot/detect/score/trial"
)

// options are what the command line asks for.
type options struct {
	data  string // folder of recordings, "" for none
	short bool
}

func main() {
	var o options
	fs := pflag.NewFlagSet("eval", pflag.ContinueOnError)
	fs.StringVar(&o.data, "data", "", "also measure on the recordings in this folder: audio/walks, audio/negatives, accel/*")
	fs.BoolVar(&o.short, "short", false, "fewer walks, for continuous integration")
	err := fs.Parse(os.Args[1:])
	if err == nil && fs.NArg() > 0 {
		err = fmt.Errorf("unexpected argument %q; recordings are given with --data DIR", fs.Arg(0))
	}
	switch {
	case err == pflag.ErrHelp:
		return
	case err != nil:
		fmt.Fprintln(os.Stderr, "eval:", err)
		os.Exit(2)
	}
	passed, err := run(o, os.Stdout, os.Stderr)
	if err != nil {
		fmt.Fprintln(os.Stderr, "eval:", err)
	}
	if err != nil || !passed {
		os.Exit(1)
	}
}

// run measures, prints and judges.
func run(o options, out, progress io.Writer) (passed bool, err error) {
	jobs := madeJobs(o.short)
	if o.data != "" {
		recorded, err := folderJobs(o.data)
		if err != nil {
			return false, err
		}
		jobs = append(jobs, recorded...)
	}
	dir, err := os.MkdirTemp("", "eval")
	if err != nil {
		return false, err
	}
	defer os.RemoveAll(dir)
	compare := aubio.Installed()
	if !compare {
		fmt.Fprintln(progress, "aubioonset is not installed (Debian: aubio-tools): nothing to compare with")
	}
	rows, err := measure(jobs, dir, compare, progress)
	if err != nil {
		return false, err
	}
	counts, err := countMade()
	if err != nil {
		return false, err
	}
	if o.data != "" {
		recorded, err := countFolder(o.data)
		if err != nil {
			return false, err
		}
		counts = append(counts, recorded...)
	}
	printWalks(out, rows)
	printNobody(out, rows)
	printLow(out, rows)
	printCounts(out, counts)
	return printBars(out, bars(rows, counts)), nil
}

// madeJobs are the made walks.
func madeJobs(short bool) []job {
	each, still := 4, 60.0
	if short {
		each, still = 1, 20
	}
	cases := append(trial.Clean(), trial.Hard(each)...)
	snrs := []float64{5, 0, -6}
	if short {
		snrs = snrs[:2]
	}
	for _, snr := range snrs {
		cases = append(cases, trial.Noisy(snr, each)...)
	}
	cases = append(cases, trial.Nobody(still)...)
	var jobs []job
	for _, c := range cases {
		jobs = append(jobs, job{group: c.Group, name: c.Name, load: func() (recording, error) {
			w := c.Spec.Walk()
			return recording{w.Samples, w.Rate, trial.Of(w)}, nil
		}})
	}
	return jobs
}
