package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"steadfoot/coach/race"
	"steadfoot/coach/units"
)

// print writes the answer for people.
func (o *targetRequest) print(w io.Writer) error {
	b := bufio.NewWriter(w)
	g := o.goal
	line := func(name, format string, a ...any) { fmt.Fprintf(b, "  %-13s %s\n", name, fmt.Sprintf(format, a...)) }
	line("pace", "%s   %.2f m/s, %.2f km/h", o.system.Pace(g.Pace), g.Speed(), 3.6*g.Speed())
	line("cadence", "%.1f steps/min", g.Cadence)
	line("step length", "%s   one step, heel contact to the other foot's", o.system.Length(g.StepLength))
	line("a lap", "%s in %s, %.1f steps", o.system.Distance(math.Round(g.Lap*100)/100), units.Time(g.LapTime(), 1), g.LapSteps())
	if g.Distance > 0 {
		line("distance", "%s in %s", o.system.Distance(g.Distance), units.Time(g.Time(), 0))
		line("steps", "%.0f in all; %.0f cover the distance", g.Steps(), math.Ceil(g.Steps()-1e-9))
		o.printWorth(line)
		o.printSplits(b)
		o.printRaced(b)
	}
	o.printGrid(b)
	return b.Flush()
}

func (o *targetRequest) printWorth(line func(name, format string, a ...any)) {
	change, words := 0.01, "+1 cm"
	if o.system == units.Imperial {
		change, words = units.Inch, "+1 inch"
	}
	length, cadence := o.goal.LengthWorth(change), o.goal.CadenceWorth(1)
	far := func(m float64) string { return o.system.Distance(math.Round(m)) }
	line(words, "a step at the same cadence: %.1f s, or %s farther in the same time", length.Seconds, far(length.Metres))
	line("+1 step/min", "at the same step length: %.1f s, or %s", cadence.Seconds, far(cadence.Metres))
}

func (o *targetRequest) printSplits(w io.Writer) {
	splits, err := o.goal.Splits(o.step, o.second)
	if err != nil { // found when the flags were read
		return
	}
	fmt.Fprintf(w, "\nSplits, %s\n", splitWords(o.second))
	fmt.Fprintf(w, "  %10s  %9s  %9s  %11s  %7s  %7s\n", "at", "time", "split", "pace", "steps", "cadence")
	for _, s := range splits {
		fmt.Fprintf(w, "  %10s  %9s  %9s  %11s  %7.0f  %7.1f\n", o.system.Distance(math.Round(s.At*10)/10), units.Time(s.Time, 0),
			units.Time(s.Part, 1), o.system.Pace(s.Part/s.Length*units.Km), s.Steps, s.Cadence)
	}
}

// printRaced holds the splits of a race against the plan.
func (o *targetRequest) printRaced(w io.Writer) {
	if len(o.passed) == 0 {
		return
	}
	fmt.Fprintf(w, "\nAs it was raced\n  %10s  %9s  %9s  %11s  %9s\n", "at", "time", "split", "pace", "to plan")
	for _, s := range race.Segments(o.passed) {
		behind := s.Time - o.goal.Planned(min(s.At, o.goal.Distance), o.second)
		plan := "-" // beyond the race
		if s.At <= o.goal.Distance {
			plan = fmt.Sprintf("%+.0f s", math.Round(behind)+0)
		}
		fmt.Fprintf(w, "  %10s  %9s  %9s  %11s  %9s\n", o.system.Distance(s.At), units.Time(s.Time, 0), units.Time(s.Part, 0), o.system.Pace(s.Part/s.Length*units.Km), plan)
	}
}

func splitWords(second float64) string {
	switch {
	case second > 0:
		return fmt.Sprintf("the second half %.3g %% quicker", 100*second)
	case second < 0:
		return fmt.Sprintf("the second half %.3g %% slower", -100*second)
	}
	return "even"
}

// Size of the grid on the terminal; it fits 80 columns.
const (
	gridRows, gridColumns = 9, 7
	gridCadence           = 2.0 // steps/min a column
)

// grid is the grid in the user's units.
func (o *targetRequest) grid() race.Grid {
	row := 0.01
	if o.system == units.Imperial {
		row = units.Inch / 2
	}
	return o.goal.NewGrid(gridRows, gridColumns, row, gridCadence)
}

func (o *targetRequest) printGrid(w io.Writer) {
	g := o.grid()
	unit, sign := o.system.Long()
	fmt.Fprintf(w, "\nPace per %s by step length and cadence (steps/min)\n  %12s", sign, "")
	for _, c := range g.Cadences {
		fmt.Fprintf(w, "  %5.0f  ", c)
	}
	fmt.Fprintln(w)
	for i := len(g.Lengths) - 1; i >= 0; i-- {
		var row strings.Builder
		fmt.Fprintf(&row, "  %12s", o.system.Length(g.Lengths[i]))
		for j := range g.Cadences {
			cell := units.Time(g.Pace[i][j]*unit/units.Km, 0)
			switch {
			case g.Goal == [2]int{i, j}:
				cell = "[" + cell + "]"
			case g.Own[i][j]:
				cell = "*" + cell + " "
			default:
				cell += " "
			}
			fmt.Fprintf(&row, " %8s", cell)
		}
		fmt.Fprintln(w, strings.TrimRight(row.String(), " "))
	}
	legend := "[ ] nearest to the goal"
	if len(o.goal.Curve) > 0 {
		legend += "   * the walker's own step length"
	}
	fmt.Fprintf(w, "  %s\n", legend)
}
