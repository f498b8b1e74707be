// Eval measures the step detector on made walks and, when given, on a folder of
// recordings, prints one table, and ends with pass or fail against the bars.
//
//	go run ./cmd/eval [--short] [--data DIR] [--picture FILE]
//
// The bars decide over pass and fail. The aims are what the detector is meant to
// reach one day: printed with what is missing, and never a failure.
package main

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/pflag"

	"steadfoot/detect/score/aubio"
)

// options are what the command line asks for.
type options struct {
	data    string // folder of recordings, "" for none
	short   bool
	picture string // file to draw F against the noise level in, "" for none
}

func main() {
	var o options
	fs := pflag.NewFlagSet("eval", pflag.ContinueOnError)
	fs.StringVar(&o.data, "data", "", "also measure on the recordings in this folder: audio/walks, audio/negatives, accel/*")
	fs.BoolVar(&o.short, "short", false, "fewer walks, for continuous integration")
	fs.StringVar(&o.picture, "picture", "", "draw F against the noise level in this file, .svg or .png")
	err := fs.Parse(os.Args[1:])
	if err == nil && fs.NArg() > 0 {
		err = fmt.Errorf("unexpected argument %q; recordings are given with --data DIR", fs.Arg(0))
	}
	if err == nil {
		err = checkPicture(o.picture)
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
	printWhen(out, rows)
	printNobody(out, rows)
	printLow(out, rows)
	printCounts(out, counts)
	if o.picture != "" {
		if err := picture(o, dir, compare, out, progress); err != nil {
			return false, err
		}
	}
	printAims(out, aims(rows))
	return printBars(out, bars(rows, counts)), nil
}
