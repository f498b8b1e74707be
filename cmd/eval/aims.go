package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"steadfoot/detect/score"
	"steadfoot/detect/score/trial"
)

// aim is something the detector is meant to reach: a number between two limits.
// Unlike a bar it fails nothing.
type aim struct {
	what   string
	unit   string
	got    float64 // NaN: not measured in this run
	lo, hi float64 // infinite: no limit on this side
}

// missed is by how much the number is outside its limits; 0 when it is inside.
func (a aim) missed() float64 { return max(a.lo-a.got, a.got-a.hi, 0) }

// aims are the aims for the made walks.
func aims(rows []*row) []aim {
	var all []aim
	least := func(lo, got float64, unit, what string) { all = append(all, aim{what, unit, got, lo, math.Inf(1)}) }
	most := func(hi, got float64, unit, what string) { all = append(all, aim{what, unit, got, math.Inf(-1), hi}) }

	sharp := only(rows, func(r *row) bool { return r.made() && !r.soft() })
	good := only(sharp, func(r *row) bool { return r.snr >= 0 })
	clean := only(sharp, func(r *row) bool { return math.IsInf(r.snr, 1) })
	at := func(snr float64) []*row { return only(sharp, func(r *row) bool { return r.snr == snr }) }
	level, even := sum(good), sum(at(0))
	quiet := sum(clean)

	least(0.99, f50(good), "", "F50 at 0 dB and better")
	least(0.98, f25(good), "", "F25 at 0 dB and better")
	worst, name := worstOf(good)
	least(0.97, worst, "", "F50 of every condition at 0 dB and better; lowest: "+name)
	least(0.98, f50(at(-6)), "", "F50 at -6 dB, sharp surfaces")
	least(0.80, f50(at(-12)), "", "F50 at -12 dB, sharp surfaces")
	least(0.90, f50(named(rows, trial.SoftGroup)), "", "F50 on soft surfaces without noise")
	least(0.98, f50(named(rows, trial.OthersGroup)), "", "F50 with "+trial.OthersGroup)
	for _, s := range []struct {
		o                   trial.Outcome
		name                string
		spread, cadence, to float64
	}{{quiet, "clean", 3, 0.5, 2}, {even, "0 dB", 6, 1, 3}} {
		most(3, some(s.o, 1000*math.Abs(s.o.At50.Bias())), "ms", "timing bias, "+s.name)
		most(s.spread, some(s.o, 1000*s.o.At50.Spread()), "ms", "timing spread, "+s.name)
		most(s.cadence, some(s.o, s.o.Cadence.MeanAbs), "steps/min", "cadence error over 10 s, "+s.name)
		most(s.to, strict(s.o.When.Lock), "s", "time to lock, "+s.name)
		most(2, strict(s.o.When.Change), "s", "time to lock after a 10 % change, "+s.name)
		most(0.7, s.o.When.Uneven.Worst(), "points", "unevenness error over 60 s, worst, "+s.name)
	}
	all = append(all, aim{"true cadences inside the 95 % band, 0 dB and better", "%", 100 * level.When.Coverage(), 90, 99})
	most(0, some(quiet, halves(sum(only(sharp, (*row).still)))), "", "half or double tempo, clean or hard")
	most(0, some(level, float64(level.Swaps)), "", "side swaps, 0 dB and better")
	most(1, level.When.Invented.Worst(), "steps", "invented after a stop, most")
	most(1.5, strict(level.When.Stop), "s", "time to 'not walking'")
	most(3, strict(level.When.Resume), "s", "time to lock after a pause")
	most(40, 1000*level.When.Delay.Quantile(0.5), "ms", "report delay from first contact, median, 0 dB and better")
	most(80, 1000*level.When.Delay.Quantile(0.95), "ms", "report delay from first contact, 95 %, 0 dB and better")
	rate, name := mostInvented(rows)
	most(1, rate, "per min", "false steps with nobody walking; most: "+name)
	return all
}

// made tells whether a row is of made walks.
func (r *row) made() bool { return !r.nobody() && !strings.HasPrefix(r.group, recorded) }

func (r *row) soft() bool { return strings.HasPrefix(r.group, trial.SoftGroup) }

// still tells whether a row has no noise but that of other walkers.
func (r *row) still() bool { return math.IsInf(r.snr, 1) || math.IsNaN(r.snr) }

func only(rows []*row, fits func(*row) bool) []*row {
	var some []*row
	for _, r := range rows {
		if fits(r) {
			some = append(some, r)
		}
	}
	return some
}

func named(rows []*row, group string) []*row {
	return only(rows, func(r *row) bool { return r.group == group })
}

// sum is the outcome on all recordings of rows.
func sum(rows []*row) (o trial.Outcome) {
	for _, r := range rows {
		o.Add(r.ours)
	}
	return o
}

// some is v, or NaN when nothing was measured.
func some(o trial.Outcome, v float64) float64 {
	if o.Seconds == 0 {
		return math.NaN()
	}
	return v
}

func f50(rows []*row) float64 { o := sum(rows); return some(o, o.At50.F()) }

func f25(rows []*row) float64 { o := sum(rows); return some(o, o.At25.F()) }

func halves(o trial.Outcome) float64 {
	return float64(o.Cadence.Half + o.Cadence.Double + o.Readings.Half + o.Readings.Double)
}

// strict is the mean, infinite when there was an occasion without a value.
func strict(v score.Values) float64 {
	if v.None > 0 {
		return math.Inf(1)
	}
	return v.Mean()
}

// worstOf is the lowest F at 50 ms of the rows, NaN without any.
func worstOf(rows []*row) (f float64, group string) {
	f = math.NaN()
	for _, r := range rows {
		if g := r.ours.At50.F(); !(g >= f) {
			f, group = g, r.group
		}
	}
	return f, group
}

// mostInvented is the highest rate of steps where nobody walks, 1/min. Recorded
// machines may pass for a walk, as in bars.
func mostInvented(rows []*row) (rate float64, group string) {
	rate = math.NaN()
	for _, r := range rows {
		if !r.nobody() || strings.Contains(r.group, recorded) && !voices(r.group) {
			continue
		}
		if g := r.ours.FalsePerMinute(); !(g <= rate) {
			rate, group = g, strings.TrimPrefix(r.group, trial.NobodyGroup)
		}
	}
	return rate, group
}

// printAims prints what is reached and how much is missing.
func printAims(out io.Writer, all []aim) {
	fmt.Fprintf(out, "\nAims: what is yet to be reached. They decide nothing; the bars below do.\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	met, measured := 0, 0
	for _, a := range all {
		by := a.missed()
		verdict, missing := "met", ""
		switch {
		case math.IsNaN(a.got):
			verdict = "not measured"
		case by > 0:
			verdict, missing = "missed", "by "+cell(by, 3)
			measured++
		default:
			met++
			measured++
		}
		if math.IsInf(by, 0) {
			missing = "it did not always happen"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s %s\t%s\n", verdict, a.what, a.limits(), cell(a.got, 3), a.unit, missing)
	}
	w.Flush()
	fmt.Fprintf(out, "\n%d of %d aims met\n", met, measured)
}

func (a aim) limits() string {
	switch {
	case math.IsInf(a.hi, 1):
		return fmt.Sprintf("at least %g", a.lo)
	case math.IsInf(a.lo, -1):
		return fmt.Sprintf("at most %g", a.hi)
	}
	return fmt.Sprintf("%g to %g", a.lo, a.hi)
}
