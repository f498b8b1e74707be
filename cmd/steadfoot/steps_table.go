package main

import (
	"fmt"
	"io"
	"math"

	"steadfoot/detect"
)

// tablePrinter writes a line a step and, at the end, a summary.
type tablePrinter struct {
	w      io.Writer
	sum    summary
	headed bool // the line that names the columns is there
}

func (p *tablePrinter) print(e detect.Event) error {
	if !p.headed && e.Kind != detect.KindRhythm {
		p.headed = true
		fmt.Fprintln(p.w, "  time, s  foot   step     confidence")
	}
	p.sum.add(e)
	var err error
	switch e.Kind {
	case detect.KindStep:
		how := "heard"
		if !e.Step.Heard {
			how = "bridged"
		}
		_, err = fmt.Fprintf(p.w, "%9.3f  %-5s  %-7s  %10.2f\n", e.Step.T, e.Step.Side, how, e.Step.Confidence)
	case detect.KindGap:
		_, err = fmt.Fprintf(p.w, "%9.3f  (%s for %.1f s)\n", e.Gap.T, e.Gap.Reason, e.Gap.Length)
	}
	return err
}

func (p *tablePrinter) end(heard float64) error {
	s := &p.sum
	if s.steps == 0 {
		_, err := fmt.Fprintf(p.w, "No steps found in %s.\n", clockTime(heard))
		return err
	}
	_, err := fmt.Fprintf(p.w, `
steps         %d
duration      %s, of which walking %s
cadence       %.1f steps/min
unevenness    %s
variability   %s
heard         %.1f %% of the steps; bridged: %d
`, s.steps, clockTime(heard), clockTime(s.walking()), s.cadence(),
		percent(s.unevenness(), "of step time, left against right"),
		percent(s.variability(), "of stride time"),
		100*float64(s.steps-s.bridged)/float64(s.steps), s.bridged)
	return err
}

// percent writes a measure that may be unknown.
func percent(x float64, of string) string {
	if math.IsNaN(x) {
		return "not enough steps to tell"
	}
	return fmt.Sprintf("%.1f %% %s", x, of)
}

// clockTime writes seconds as m:ss.s or h:mm:ss.s.
func clockTime(s float64) string {
	tenths := int64(math.Round(s * 10))
	h, m := tenths/36000, tenths/600%60
	rest := float64(tenths%600) / 10
	if h > 0 {
		return fmt.Sprintf("%d:%02d:%04.1f", h, m, rest)
	}
	return fmt.Sprintf("%d:%04.1f", m, rest)
}
