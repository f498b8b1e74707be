package main

import (
	"fmt"
	"io"
	"math"
	"runtime"
	"text/tabwriter"
	"time"

	"steadfoot/detect/score/aubio"
)

// runCost measures and prints what the detector costs, and judges it.
func runCost(o options, out, progress io.Writer) (passed bool, err error) {
	if o.cost.feed != "" {
		return true, feedFile(o.cost.feed, out)
	}
	seconds, runs, hours, file := 60.0, 5, o.cost.hours, 300.0
	if o.short {
		seconds, runs, hours, file = 20, 2, 0, 60
	}
	var j judge
	fmt.Fprintf(out, "What it costs: processor time of one thread (%s/%s, %s). A walk in pink noise at +3 dB, in pieces of %d samples.\n\n",
		runtime.GOOS, runtime.GOARCH, runtime.Version(), costBlock)
	if err := j.costOfRates(out, seconds, runs); err != nil {
		return false, err
	}
	if err := j.costOfLength(out, progress, hours); err != nil {
		return false, err
	}
	if err := j.costAgainst(out, file, runs); err != nil {
		return false, err
	}
	fmt.Fprintln(out, "\nThe cost against the range of cadences followed: go test ./detect -run '^$' -bench Range")
	return printBars(out, j.bars, o.short), nil
}

func (j *judge) costOfRates(out io.Writer, seconds float64, runs int) error {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "sample rate\tx real time\tms a minute of sound\t")
	for _, rate := range costRates {
		c, err := costAt(rate, seconds, runs)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "%g Hz\t%.0f\t%.0f\t\n", rate, c.speed(), 60*1000*c.second.Seconds())
		if rate == costRate {
			j.least(leastSpeed, c.speed(), "x", "speed at 48 kHz, times real time")
		}
	}
	return w.Flush()
}

func (j *judge) costOfLength(out, progress io.Writer, hours float64) error {
	c, err := feedLong(hours, progress)
	if err != nil {
		return err
	}
	growth := c.last.Seconds() / c.first.Seconds()
	fmt.Fprintf(out, "\n%.1f h of sound in one piece: a minute of it cost %v at first and %v at last (median of five); "+
		"%+.1f kB in use and %+.2f MB from the system after a collection, against after the first minute; %.4f allocations a block\n",
		c.hours, c.first.Round(time.Millisecond), c.last.Round(time.Millisecond), c.heap/1024, c.held/(1<<20), c.allocsABlock)
	j.most(mostGrowth, growth, "x", fmt.Sprintf("cost of the last minutes of %.1f h against the first", c.hours))
	j.most(mostHeapKB, c.heap/1024, "kB", "growth of the memory in use")
	j.most(mostHeldMB, c.held/(1<<20), "MB", "growth of the memory from the system")
	j.most(0, math.Floor(c.allocsABlock), "", "allocations a block, whole ones")
	return nil
}

func (j *judge) costAgainst(out io.Writer, seconds float64, runs int) error {
	what := "processor time against the cheapest method of aubio's C library, same file"
	if !aubio.Installed() {
		fmt.Fprintln(out, "\naubioonset is not installed (Debian: aubio-tools): nothing to compare with")
		j.most(mostAgainst, math.NaN(), "x", what, with("needs aubioonset"))
		return nil
	}
	all, err := compareCost(seconds, runs)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\nOne file of %.0f s at %d Hz, read and searched by a process of its own, least of %d runs in turn\n\n", seconds, costRate, runs)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "program\tprocessor time\tx real time\tsteadfoot against it\t")
	ours, least := all[0].cpu, math.Inf(1)
	for i, a := range all {
		ratio := ours.Seconds() / a.cpu.Seconds()
		fmt.Fprintf(w, "%s\t%v\t%.0f\t%.2f\t\n", a.name, a.cpu.Round(time.Millisecond), seconds/a.cpu.Seconds(), ratio)
		if i > 0 {
			least = min(least, a.cpu.Seconds())
		}
	}
	w.Flush()
	j.most(mostAgainst, ours.Seconds()/least, "x", what)
	return nil
}
