package review

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

func printPlots(w io.Writer, m marks, h logbook.Header, s Summary, events []event.Event) {
	walked := spans(events)
	cadence := plot{duration: s.Duration, steps: []float64{1, 2, 5, 10, 20}, label: func(v float64) string { return fmt.Sprintf("%.0f", v) }}
	pace := plot{duration: s.Duration, steps: []float64{1, 2, 5, 10, 20, 30, 60}, label: coach.FormatPace, down: true}
	for _, x := range walked {
		cadence.samples = append(cadence.samples, sample{x.T, x.Cadence})
		if x.pace > 0 {
			pace.samples = append(pace.samples, sample{x.T, x.pace})
		}
	}
	var set coach.Settings
	if json.Unmarshal(h.Settings, &set) != nil {
		set.StepLength = nil
	}
	aims := aimsOf(h, events)
	cadence.band = func(t float64) (lo, hi float64) {
		a := aims.at(t)
		return a.Low, a.High
	}
	pace.band = func(t float64) (lo, hi float64) {
		a := aims.at(t)
		return coach.PaceOf(a.High, set.StepLength.Length(a.High)), coach.PaceOf(a.Low, set.StepLength.Length(a.Low))
	}
	printPlot(w, m, "Cadence, steps/min", cadence)
	printPlot(w, m, "Pace, min/km, quick on top", pace)
	if len(walked) > 0 {
		printSigns(w, m, s)
	}
}

func printPlot(w io.Writer, m marks, title string, p plot) {
	lines := p.draw(m)
	if lines == nil {
		return
	}
	if p.banded() {
		title += "; " + m.band + " is the target band"
	}
	fmt.Fprintf(w, "\n%s\n", title)
	for _, l := range append(lines, timeAxis(m, p.duration)...) {
		fmt.Fprintln(w, l)
	}
}

// printSigns writes the line of cues and laps that belongs under the plots.
func printSigns(w io.Writer, m marks, s Summary) {
	signs := map[string]string{event.CueQuicken: m.quicken, event.CueEase: m.ease,
		event.CueSettled: m.settled, event.CueLost: m.lost, event.CueBack: m.back}
	line := make([]string, plotColumns)
	for i := range line {
		line[i] = " "
	}
	used := 0
	for _, l := range s.Laps {
		line[column(l.T, s.Duration)] = m.lap
		used++
	}
	for _, c := range s.Cues {
		if sign := signs[c.Name]; sign != "" {
			line[column(c.T, s.Duration)] = sign
			used++
		}
	}
	if used == 0 {
		return
	}
	fmt.Fprintf(w, "%*s %s\n", labelWidth, "cues", strings.TrimRight(strings.Join(line, ""), " "))
	fmt.Fprintf(w, "%*s %s quicken  %s ease  %s settled  %s cannot hear  %s heard again  %s lap\n",
		labelWidth, "", m.quicken, m.ease, m.settled, m.lost, m.back, m.lap)
}
