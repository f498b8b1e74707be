package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"text/tabwriter"

	"steadfoot/coach/sim"
)

// group is the walkers that one line of the table is about.
type group struct {
	name string
	has  func(sim.Walker) bool
}

// groups are the classes and, among all of them, those who overreact.
func groups() []group {
	var all []group
	for _, c := range sim.Classes {
		all = append(all, group{string(c), func(w sim.Walker) bool { return w.Class == c }})
	}
	return append(all, group{"(overreacting)", func(w sim.Walker) bool { return w.Over }})
}

func (g group) of(all []outing) []outing {
	var some []outing
	for _, o := range all {
		if g.has(o.walker) {
			some = append(some, o)
		}
	}
	return some
}

// each is a number of every outing.
func each(all []outing, of func(outing) float64) []float64 {
	xs := make([]float64, len(all))
	for i, o := range all {
		xs[i] = of(o)
	}
	return xs
}

// meanOf leaves out what is not a number.
func meanOf(xs []float64) float64 {
	var sum, n float64
	for _, x := range xs {
		if !math.IsNaN(x) {
			sum, n = sum+x, n+1
		}
	}
	return sum / n
}

// quantile is the value that a share q of xs is at or below; NaN for none.
func quantile(xs []float64, q float64) float64 {
	if len(xs) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(xs))
	return s[int(q*float64(len(s)-1)+0.5)]
}

// inside is the mean share of the time in the band, %.
func inside(all []outing) float64 {
	return 100 * meanOf(each(all, func(o outing) float64 { return o.band.Inside }))
}

// driven counts the walkers who were driven into swinging.
func driven(all []outing) (n int) {
	for _, o := range all {
		if o.driven {
			n++
		}
	}
	return n
}

// fullest is the most cues that any of the walkers heard in a minute.
func fullest(all []outing) (n int) {
	for _, o := range all {
		n = max(n, o.words.Most)
	}
	return n
}

// printCoached prints a line for each manner and group.
func printCoached(out io.Writer, all []manner, outings [][]outing, duration float64) {
	fmt.Fprintf(out, "\nCoaching: %d simulated walkers, %.0f min each, target 2 to 5 %% above the cadence they walk unasked (package coach/sim).\n"+
		"in: mean share of the time in the band, %%; low: that of the walker at the 10th percentile. off: mean cadence minus target, steps/min. reach: median time until the band is held for 5 s, never: who did not.\n"+
		"out: median length of excursions over 3 s, s; over: mean of each walker's worst overshoot, steps/min. cues: a minute, mean; max: of one walker; most: in one minute.\n"+
		"beat: share of the steps that had one, %%; with: of those, share that followed it, %%; async, SD: step minus beat, ms; R: of its phase; lost: times a beat was out of reach, a walker.\n"+
		"swing: strongest swing of 5 to 40 s, steps/min, mean; top: of one walker; driven: walkers driven into swinging.\n\n", len(outings[0]), duration/60)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "coaching\tclass\tn\tin\tlow\toff\treach\tnever\tout\tover\tcues\tmax\tmost\tbeat\twith\tasync\tSD\tR\tlost\tswing\ttop\tdriven\t")
	for i, m := range all {
		for _, g := range groups() {
			if some := g.of(outings[i]); len(some) > 0 {
				fmt.Fprintf(w, "%s\t%s\t%s\n", m.name, g.name, coachedLine(some))
			}
		}
	}
	w.Flush()
}

// coachedLine is the cells of one line after its names.
func coachedLine(all []outing) string {
	of := func(f func(outing) float64) []float64 { return each(all, f) }
	in := of(func(o outing) float64 { return 100 * o.band.Inside })
	reached := of(func(o outing) float64 { return o.band.Reached })
	never := len(reached) - len(slices.DeleteFunc(slices.Clone(reached), func(t float64) bool { return math.IsInf(t, 1) }))
	var outs []float64
	for _, o := range all {
		outs = append(outs, o.band.Out...)
	}
	cues := of(func(o outing) float64 { return o.words.PerMinute })
	swing := of(func(o outing) float64 { return o.swing.Amplitude })
	return fmt.Sprintf("%d\t%.1f\t%.1f\t%+.1f\t%s\t%d\t%s\t%.1f\t%.2f\t%.2f\t%d\t%s\t%.2f\t%.2f\t%d\t",
		len(all), meanOf(in), quantile(in, 0.1), meanOf(of(func(o outing) float64 { return o.band.Off })), cell(quantile(reached, 0.5), 1), never, cell(quantile(outs, 0.5), 1),
		meanOf(of(func(o outing) float64 { return o.band.Overshoot })),
		meanOf(cues), slices.Max(cues), fullest(all), beatCells(all), meanOf(swing), slices.Max(swing), driven(all))
}

// beatCells are the cells about the beat, over the walkers who heard one.
func beatCells(all []outing) string {
	share := meanOf(each(all, func(o outing) float64 { return 100 * o.beat.Heard }))
	all = slices.DeleteFunc(slices.Clone(all), func(o outing) bool { return o.beat.Steps == 0 })
	if len(all) == 0 {
		return "-\t-\t-\t-\t-\t-"
	}
	mean := func(f func(outing) float64) float64 { return meanOf(each(all, f)) }
	return fmt.Sprintf("%.0f\t%.0f\t%+.0f\t%.0f\t%.2f\t%.2f", share,
		mean(func(o outing) float64 { return 100 * o.beat.With }),
		mean(func(o outing) float64 { return 1000 * o.beat.Mean }),
		mean(func(o outing) float64 { return 1000 * o.beat.SD }),
		mean(func(o outing) float64 { return o.beat.R }),
		mean(func(o outing) float64 { return float64(o.lost) }))
}

// printDriven names the walkers who were driven into swinging.
func printDriven(out io.Writer, all []manner, outings [][]outing) {
	fmt.Fprintf(out, "\nDriven into swinging\n\n")
	for i, m := range all {
		for _, o := range outings[i] {
			if o.driven {
				fmt.Fprintf(out, "  %s: walker %d, %s, overreacts: %v; %d times out of the band on alternate sides; strongest swing %.1f steps/min every %.0f s, from %.0f s on\n",
					m.name, o.number, o.walker.Class, o.walker.Over, o.swing.Turns, o.swing.Amplitude, o.swing.Period, o.swing.From)
			}
		}
	}
}
