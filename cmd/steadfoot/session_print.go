package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"steadfoot/coach"
	"steadfoot/coach/units"
	"steadfoot/profiles"
)

// printSession prints the plan part by part, and what it adds up to.
func printSession(w io.Writer, p *profiles.Plan, splits []coach.PlanSplit, sum coach.PlanTotals) error {
	fmt.Fprintln(w, p.Name)
	if p.Note != "" {
		fmt.Fprintln(w, p.Note)
	}
	if place := placeWords(p); place != "" {
		fmt.Fprintln(w, place)
	}
	fmt.Fprintln(w)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	lap := ""
	if p.Lap > 0 {
		lap = "\tLAP"
	}
	fmt.Fprintf(tw, "AT\tPART\tFOR\tTARGET\tSTEPS/MIN\tPACE\tTIME\tSTEPS%s\n", lap)
	open := false // the time of a part before cannot be told
	for _, s := range splits {
		at := units.Time(s.Start, 0)
		if open {
			at += "+"
		}
		printSplit(tw, p.Lap > 0, at, partWords(s.Part), endWords(s.Part), s)
		for _, piece := range s.Pieces {
			from := units.Metric.Distance(piece.At)
			if piece.Part.Duration > 0 {
				from = units.Time(piece.Start, 0)
			}
			printSplit(tw, p.Lap > 0, "", "  from "+from, endWords(piece.Part), piece)
		}
		open = open || s.Time == 0
	}
	if err := tw.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "\n%s\n", totalWords(sum))
	return err
}

func printSplit(w io.Writer, track bool, at, part, end string, s coach.PlanSplit) {
	lap := ""
	if track {
		lap = "\t" + orDash(s.LapTime, tenths(s.LapTime))
	}
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s%s\n", at, part, end, targetWords(s.Part),
		span(s.Cadence, func(x float64) string { return fmt.Sprintf("%.1f", x) }),
		span(s.Pace, func(x float64) string { return units.Time(x, 0) }),
		orDash(s.Time, tenths(s.Time)), orDash(s.Steps, fmt.Sprintf("%.0f", s.Steps)), lap)
}

func printNotes(w io.Writer, notes []string) error {
	for _, n := range notes {
		if _, err := fmt.Fprintln(w, n); err != nil {
			return err
		}
	}
	return nil
}

// placeWords says where it is walked and what percentages refer to.
func placeWords(p *profiles.Plan) string {
	var words []string
	switch {
	case p.Lane > 0:
		words = append(words, fmt.Sprintf("lane %d, a lap is %.2f m", p.Lane, p.Lap))
	case p.Lap > 0:
		words = append(words, "a lap is "+units.Metric.Distance(p.Lap))
	}
	if p.Race > 0 {
		words = append(words, "race pace is "+tenths(p.Race)+" /km")
	}
	return strings.Join(words, "; ")
}

// partWords names a part.
func partWords(p profiles.PlanPart) string {
	words := p.Role
	if p.Works() && p.Of > 1 {
		words = fmt.Sprintf("%s %d of %d", p.Role, p.Rep, p.Of)
	}
	if p.Works() && p.Set > 1 {
		words += fmt.Sprintf(", set %d", p.Set)
	}
	if p.Label != "" {
		words += ": " + p.Label
	}
	return words
}

// endWords says what ends a part.
func endWords(p profiles.PlanPart) string {
	switch {
	case p.Ready:
		return "until ready"
	case p.Length > 0:
		return units.Metric.Distance(p.Length)
	}
	return units.Time(p.Duration, 0)
}

// targetWords says what the target is, as the file has it.
func targetWords(p profiles.PlanPart) string {
	if len(p.Targets) == 0 {
		return "free"
	}
	said := func(t profiles.PlanTarget) string {
		if t.Free() {
			return "free"
		}
		return t.Said
	}
	first, last := p.Targets[0], p.Targets[len(p.Targets)-1]
	switch {
	case len(p.Targets) == 1:
		return said(first.Target)
	case first.Glide:
		return said(first.Target) + " to " + said(last.Target)
	}
	return said(first.Target) + ", then " + said(last.Target)
}

// span writes what holds at the start and at the end, once if they are the same.
func span(x [2]float64, write func(float64) string) string {
	a, b := write(x[0]), write(x[1])
	switch {
	case x[0] == 0 && x[1] == 0:
		return "-"
	case a == b:
		return a
	case x[0] == 0:
		return "- to " + b
	case x[1] == 0:
		return a + " to -"
	}
	return a + " to " + b
}

// tenths writes a time to the tenth of a second, when there is one.
func tenths(sec float64) string {
	return strings.TrimSuffix(units.Time(sec, 1), ".0")
}

func orDash(x float64, text string) string {
	if x == 0 {
		return "-"
	}
	return text
}

// totalWords adds the session up, and says what is not in the sum.
func totalWords(sum coach.PlanTotals) string {
	return strings.Join([]string{
		fmt.Sprintf("total  %s, %d of them reps or drills", parts(sum.Parts), sum.Reps),
		"time   " + units.Time(sum.Time, 0) + without(sum.Ready, sum.NoTime, "at no known pace"),
		"way    " + units.Metric.Distance(sum.Length) + without(sum.Ready, sum.NoLength, "of no known length"),
		"steps  " + fmt.Sprintf("%.0f", sum.Steps) + without(sum.Ready, sum.NoSteps, "of no known steps"),
		"work   " + units.Time(sum.WorkTime, 0) + ", " + units.Metric.Distance(sum.WorkLength),
	}, "\n")
}

func parts(n int) string {
	if n == 1 {
		return "1 part"
	}
	return fmt.Sprintf("%d parts", n)
}

// without says which parts a sum leaves out, so that it is a least.
func without(ready, unknown int, what string) string {
	var words []string
	if ready > 0 {
		words = append(words, parts(ready)+" until ready")
	}
	if unknown > 0 {
		words = append(words, parts(unknown)+" "+what)
	}
	if len(words) == 0 {
		return ""
	}
	return " and more, for " + strings.Join(words, " and ")
}
