package main

import (
	"fmt"
	"io"

	"steadfoot/coach"
	"steadfoot/detect"
)

// podPrinter writes a summary of a foot pod's packets: there is no step to write
// a line about.
type podPrinter struct {
	w   io.Writer
	pod *podInput
}

func (p *podPrinter) print(detect.Event) error { return nil }

func (p *podPrinter) end(float64) error {
	t := p.pod.packets.Totals()
	fmt.Fprintf(p.w, `A foot pod's stream: it has the cadence but no single steps.

packets       %d
duration      %s, of which walking %s
`, t.Packets, clockTime(t.Duration), clockTime(t.Walking))
	how := "speed times time"
	if t.Counted {
		how = "counted by the sensor"
	}
	cadence := p.pod.unit.Cadence(t.Cadence)
	if cadence == 0 {
		fmt.Fprintln(p.w, "cadence       none: nobody walked")
	} else {
		fmt.Fprintf(p.w, "cadence       %.1f steps/min, taking it to count %s\n", cadence, p.pod.unit)
	}
	if t.Speed > 0 {
		pace := 1000 / t.Speed
		fmt.Fprintf(p.w, "speed         %.2f m/s, %s /km\n", t.Speed, coach.FormatPace(pace))
		fmt.Fprintf(p.w, "step length   %.2f m\n", coach.LengthOf(pace, cadence))
	}
	_, err := fmt.Fprintf(p.w, "distance      %.1f m, %s\n", t.Distance, how)
	return err
}
