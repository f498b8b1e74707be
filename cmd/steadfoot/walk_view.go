package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// surviveClosedPipe turns the death that writing to a closed pipe is into an
// error of the write: Ctrl-C ends the 'tee' after a walk first, and the walk has
// still to be ended and logged.
func surviveClosedPipe() { signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE) }

// view is the terminal during a walk: one line that is kept up to date, and a
// line that stays for whatever was said. Without a terminal only the latter.
type view struct {
	w       io.Writer
	live    bool
	coach   *coach.Coach
	length  int     // of the line now shown
	fault   string  // the last one shown, up to its figures
	faultAt float64 // and when, s
}

func newView(std stdio, c *coach.Coach) *view {
	return &view{w: std.err, live: isTerminal(std.err), coach: c}
}

// show is called with every event of the walk.
func (v *view) show(e event.Event) {
	switch e := e.(type) {
	case event.Rhythm:
		v.status(e)
	case event.Cue:
		v.say(e.T, e.Name, e.Reason)
	case event.Mark:
		switch e.Name {
		case event.MarkLap:
			v.say(e.T, "lap", "")
		case markGroup:
			v.say(e.T, "group", e.Note)
		}
	case event.Gap:
		v.say(e.T+e.Length, "gap", fmt.Sprintf("%s for %.1f s", e.Reason, e.Length)) // it is known at its end
	case event.Fault:
		v.sayFault(e)
	}
}

// sayFault shows a fault, unless it repeats one shown in the last ten seconds:
// a device that stutters tells so many times a second. The log has them all.
func (v *view) sayFault(f event.Fault) {
	kind, _, _ := strings.Cut(f.What, ";")
	if kind == v.fault && f.T < v.faultAt+10 {
		return
	}
	v.fault, v.faultAt = kind, f.T
	v.say(f.T, "fault", f.What)
}

// status brings the line up to date.
func (v *view) status(r event.Rhythm) {
	if !v.live {
		return
	}
	s := v.coach.Status()
	line := fmt.Sprintf("%s  %s", clockTime(r.T), r.State)
	if r.State == detect.Walking && r.Cadence > 0 {
		line = fmt.Sprintf("%s  %5.1f steps/min", clockTime(r.T), r.Cadence)
		if r.Pace > 0 {
			line += "  " + coach.FormatPace(r.Pace) + " /km"
		}
		line += fmt.Sprintf("  band %.0f-%.0f: %s", s.Low, s.High, s.State)
		line += fmt.Sprintf("  heard %.0f %%", 100*r.Heard)
	}
	v.line(line)
}

// line replaces the line that is shown.
func (v *view) line(s string) {
	pad := max(0, v.length-len(s))
	fmt.Fprintf(v.w, "\r%s%s", s, strings.Repeat(" ", pad))
	v.length = len(s)
}

// say prints a line that stays.
func (v *view) say(t float64, what, why string) {
	if v.live {
		v.line("")
		fmt.Fprint(v.w, "\r")
	}
	fmt.Fprintln(v.w, strings.TrimRight(fmt.Sprintf("%s  %-11s  %s", clockTime(t), what, why), " "))
}

// end leaves the cursor on a fresh line.
func (v *view) end() {
	if v.live {
		v.line("")
		fmt.Fprint(v.w, "\r")
	}
}

// lapKeys brings a lap mark for every line typed, where there is a terminal and
// it is not the input.
func lapKeys(ctx context.Context, std stdio, taken bool, marks chan<- event.Mark) {
	f, ok := std.in.(*os.File)
	if taken || !ok || !isTerminal(f) {
		return
	}
	go func() {
		for keys := bufio.NewScanner(f); keys.Scan(); {
			select {
			case marks <- event.Mark{Name: event.MarkLap, Note: strings.TrimSpace(keys.Text())}:
			case <-ctx.Done():
				return
			}
		}
	}()
}
