package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"steadfoot/detect/score"
	"steadfoot/detect/score/aubio"
	"steadfoot/detect/score/trial"
)

// levels are where the picture has its points: steps against noise, dB.
var levels = []float64{10, 6, 3, 0, -3, -6, -9, -12, -15, -18, -21, -24}

// surfaces are the panels of the picture.
var surfaces = []struct {
	name string
	soft bool
}{{"sharp surfaces", false}, {"soft surfaces", true}}

// panel is how well steps are found on one kind of surface, over levels.
type panel struct {
	title           string
	levels          []float64 // dB
	f50, f25, aubio []float64 // F; aubio is nil when it was not run
}

// picture measures, draws, and prints what is drawn.
func picture(o options, dir string, compare bool, out, progress io.Writer) error {
	each := 2
	if o.short {
		each = 1
	}
	var panels []panel
	for _, s := range surfaces {
		var jobs []job
		for _, snr := range levels {
			jobs = append(jobs, jobsOf(trial.Pictured(fmt.Sprintf("%s %+g dB", s.name, snr), s.soft, snr, each))...)
		}
		rows, err := measure(jobs, dir, compare, progress)
		if err != nil {
			return err
		}
		panels = append(panels, panelOf(s.name, rows))
	}
	printPanels(out, panels)
	return drawPanels(o.picture, panels)
}

// panelOf makes a panel of rows, one for each level.
func panelOf(title string, rows []*row) panel {
	p := panel{title: title}
	for _, r := range rows {
		p.levels = append(p.levels, r.snr)
		p.f50 = append(p.f50, r.ours.At50.F())
		p.f25 = append(p.f25, r.ours.At25.F())
		if top, ok := bestOf(r); ok {
			p.aubio = append(p.aubio, top)
		}
	}
	return p
}

// bestOf is F at 50 ms of the aubio method that does best on this row.
func bestOf(r *row) (f float64, ok bool) {
	var top score.Result
	for _, m := range aubio.Methods {
		if s := r.aubio[m]; s != nil && (!ok || s.F() > top.F()) {
			top, ok = *s, true
		}
	}
	return top.F(), ok
}

// endF is the F at 50 ms below which the steps count as no longer found.
const endF = 0.8

// end is where hearing ends: the level, dB, below which F at 50 ms stays under
// endF, in a straight line between two levels. ok is false when it never is
// under, or never above.
func (p panel) end() (dB float64, ok bool) {
	for i := len(p.f50) - 1; i > 0; i-- {
		a, b := p.f50[i-1], p.f50[i]
		if a >= endF && b < endF {
			return p.levels[i] + (p.levels[i-1]-p.levels[i])*(endF-b)/(a-b), true
		}
	}
	return 0, false
}

// ends says in words where hearing ends.
func (p panel) ends() string {
	n := len(p.f50)
	dB, ok := p.end()
	switch {
	case ok:
		return fmt.Sprintf("F50 falls below %g at %+.1f dB", endF, dB)
	case n > 0 && p.f50[n-1] >= endF:
		return fmt.Sprintf("F50 is %g or more down to %+g dB", endF, p.levels[n-1])
	}
	return fmt.Sprintf("F50 is below %g at every level", endF)
}

func printPanels(out io.Writer, panels []panel) {
	fmt.Fprintf(out, "\nWhat the picture shows: F against the level of the steps over the noise; aubio: its best method at each level, F at 50 ms\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "surfaces\tdB\tF50\tF25\taubio\t")
	for _, p := range panels {
		for i, dB := range p.levels {
			theirs := math.NaN()
			if p.aubio != nil {
				theirs = p.aubio[i]
			}
			fmt.Fprintf(w, "%s\t%+g\t%s\t%s\t%s\t\n", p.title, dB, cell(p.f50[i], 3), cell(p.f25[i], 3), cell(theirs, 3))
		}
	}
	w.Flush()
	fmt.Fprintln(out)
	for _, p := range panels {
		fmt.Fprintf(out, "Where it ends on %s: %s.\n", p.title, p.ends())
	}
}
