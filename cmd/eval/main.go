// Eval measures the step detector on made walks and, when given, on a folder of
// recordings, prints one table, and ends with pass or fail against the bars.
//
//	go run ./cmd/eval [--short] [--data DIR] [--picture FILE]
//	go run ./cmd/eval --cost
//	go run ./cmd/eval --coached [--short] [--walker FILE]
//	go run ./cmd/eval --claps [--short]
//	go run ./cmd/eval --group [--members N] [--hubs N --bus nats://HOST:PORT]
//
// Beside it, it takes simulated walkers through sessions with the coach (package
// coach/sim): time in the band, words a minute, swinging, by way of coaching.
//
// The full run judges every bar. The short one, for continuous integration, has
// fewer walks of every kind; it prints every bar too, and says of each that it
// misses and does not judge that it is missed. Some bars need recordings.
package main

import (
	"errors"
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
	coached coachedOptions
	claps   bool // measure the double claps alone
	cost    costOptions
	group   groupOptions
}

func main() {
	var o options
	fs := pflag.NewFlagSet("eval", pflag.ContinueOnError)
	fs.StringVar(&o.data, "data", "", "also measure on the recordings in this folder: audio/walks, audio/negatives, accel/*")
	fs.BoolVar(&o.short, "short", false, "fewer walks, for continuous integration")
	fs.StringVar(&o.picture, "picture", "", "draw F against the noise level in this file, .svg or .png")
	fs.BoolVar(&o.claps, "claps", false, "measure double claps alone")
	o.coached.flags(fs)
	o.cost.flags(fs)
	o.group.flags(fs)
	err := fs.Parse(os.Args[1:])
	if err == nil && fs.NArg() > 0 {
		err = fmt.Errorf("unexpected argument %q; recordings are given with --data DIR", fs.Arg(0))
	}
	if err == nil {
		err = checkPicture(o.picture)
	}
	if err == nil {
		err = checkPicture(o.coached.picture)
	}
	if err == nil {
		err = o.group.check()
	}
	switch {
	case err == pflag.ErrHelp:
		return
	case err != nil:
		fmt.Fprintln(os.Stderr, "eval:", err)
		os.Exit(2)
	}
	measure := run
	if o.cost.on || o.cost.feed != "" {
		measure = runCost
	}
	if o.group.on {
		measure = runGroup
	}
	passed, err := measure(o, os.Stdout, os.Stderr)
	if err != nil {
		fmt.Fprintln(os.Stderr, "eval:", err)
	}
	if err != nil || !passed {
		os.Exit(1)
	}
}

// run measures, prints and judges.
func run(o options, out, progress io.Writer) (passed bool, err error) {
	if o.claps {
		var j judge
		err := j.hearClaps(o.short, out, progress)
		return err == nil && printBars(out, j.bars, o.short), err
	}
	walkers, err := coached(o.coached, o.short, out)
	if err != nil {
		return false, err
	}
	if o.coached.only {
		return printBars(out, walkers, o.short), nil
	}
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
	if !compare && os.Getenv("CI") != "" {
		return false, errors.New("aubioonset must be there in CI (Debian: aubio-tools)")
	}
	if !compare {
		fmt.Fprintln(progress, "aubioonset is not installed (Debian: aubio-tools): nothing to compare with")
	}
	rows, err := measure(jobs, dir, compare, progress)
	if err != nil {
		return false, err
	}
	all, err := feltMade()
	if err != nil {
		return false, err
	}
	if o.data != "" {
		recorded, err := feltFolder(o.data)
		if err != nil {
			return false, err
		}
		all = append(all, recorded...)
	}
	boths, err := heardAndFelt(o.short, progress)
	if err != nil {
		return false, err
	}
	printTable(out, rows)
	printMore(out, rows)
	printLow(out, rows)
	printFelt(out, all)
	printBoth(out, boths)
	if o.picture != "" {
		if err := picture(o, dir, compare, out, progress); err != nil {
			return false, err
		}
	}
	j := judge{walkers}
	j.sound(rows)
	j.felt(all)
	j.both(boths)
	if err := j.hearClaps(o.short, out, progress); err != nil {
		return false, err
	}
	return printBars(out, j.bars, o.short), nil
}
