package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"steadfoot/coach/sim"
)

// change is one change to every walker, to see how much hangs on it.
type change struct {
	name string
	to   func(*sim.Walker)
}

// changes are the parameters that have no source, or a wide one.
var changes = []change{
	{"as drawn", func(*sim.Walker) {}},
	{"alpha 0.1", func(w *sim.Walker) { w.Sync.Alpha = 0.1 }},
	{"alpha 0.2", func(w *sim.Walker) { w.Sync.Alpha = 0.2 }},
	{"alpha 0.8", func(w *sim.Walker) { w.Sync.Alpha = 0.8 }},
	{"no period correction", func(w *sim.Walker) { w.Sync.Beta = 0 }},
	{"foot 30 ms before the beat", func(w *sim.Walker) { w.Sync.Lead = 0.030 }},
	{"foot 80 ms before the beat", func(w *sim.Walker) { w.Sync.Lead = 0.080 }},
	{"beat's reach 3 %", func(w *sim.Walker) { w.Sync.Reach = 3 }},
	{"each lapse drops the beat", func(w *sim.Walker) { w.Sync.Drops = 1 }},
	{"no lapses", func(w *sim.Walker) { w.Attention.On = 1e6 }},
	{"lapses twice as long", func(w *sim.Walker) { w.Attention.Off *= 2 }},
	{"lapses twice as often", func(w *sim.Walker) { w.Attention.On /= 2 }},
	{"drift twice as fast", func(w *sim.Walker) { w.Effort.Fades /= 2; w.Effort.FadesAway /= 2 }},
	{"drift half as fast", func(w *sim.Walker) { w.Effort.Fades *= 2; w.Effort.FadesAway *= 2 }},
	{"no fatigue", func(w *sim.Walker) { w.Fatigue.Slows = 0 }},
	{"fatigue twice as much", func(w *sim.Walker) { w.Fatigue.Slows *= 2 }},
	{"target 0 to 3 % above", func(w *sim.Walker) { w.Target -= 0.02 * w.Gait.Preferred }},
	{"target 4 to 7 % above", func(w *sim.Walker) { w.Target += 0.02 * w.Gait.Preferred }},
	{"answers half the size", func(w *sim.Walker) { w.Answer.Size /= 2 }},
	{"answers twice the size", func(w *sim.Walker) { w.Answer.Size *= 2 }},
	{"digits answered by half", func(w *sim.Walker) { w.Answer.Digits /= 2 }},
	{"digits answered twofold", func(w *sim.Walker) { w.Answer.Digits *= 2 }},
	{"answers twice as late", func(w *sim.Walker) { w.Answer.Latency *= 2 }},
	{"half of the words unheard", func(w *sim.Walker) { w.Answer.Chance *= 0.5 }},
	{"stride time CV 2 %", func(w *sim.Walker) { w.Gait.StrideCV = 2 }},
	{"no slow scatter", func(w *sim.Walker) { w.Gait.LongRange = 0 }},
}

// sensitivity prints the time in the band in each manner under each change, for
// the classes that the coach can reach in part: fully and half of the time.
func sensitivity(out io.Writer, duration float64) error {
	for _, class := range []sim.Class{sim.Responsive, sim.Inattentive} {
		if err := sensitivityOf(out, class, duration); err != nil {
			return fmt.Errorf("%s: %w", class, err)
		}
	}
	return nil
}

// changedMany is how many walkers of a class a change is tried on.
const changedMany = 20

func sensitivityOf(out io.Writer, class sim.Class, duration float64) error {
	var walkers []sim.Walker
	for _, w := range sim.Population(coachedSeed, coachedMany) {
		if w.Class == class && len(walkers) < changedMany {
			walkers = append(walkers, w)
		}
	}
	all := manners()
	fmt.Fprintf(out, "\nHow much hangs on the walker: time in the band, %%, of %d %s walkers, and how many of them were driven into swinging\n\n", len(walkers), class)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(w, "change\t")
	for _, m := range all {
		fmt.Fprintf(w, "%s\t", m.name)
	}
	fmt.Fprintln(w)
	for _, c := range changes {
		changed := slices.Clone(walkers)
		for i := range changed {
			c.to(&changed[i])
		}
		outings, err := coachWalkers(changed, all, duration)
		if err != nil {
			return fmt.Errorf("%s: %w", c.name, err)
		}
		fmt.Fprintf(w, "%s\t", c.name)
		for i := range all {
			fmt.Fprintf(w, "%.1f (%d)\t", inside(outings[i]), driven(outings[i]))
		}
		fmt.Fprintln(w)
	}
	return w.Flush()
}
