package main

import (
	"context"
	"os"
	"os/exec"
	"runtime"
	"time"

	"golang.org/x/term"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// checkTerminal looks at where a walk would be shown.
func checkTerminal(_ context.Context, c *checkup) []finding {
	if !isTerminal(c.std.err) {
		return judgeTerminal(os.Getenv, 0, 0)
	}
	w, h, err := term.GetSize(int(c.std.err.(*os.File).Fd()))
	if err != nil {
		w, h = 80, 24 // it does not tell
	}
	return judgeTerminal(os.Getenv, w, h)
}

// The screen drops parts on a smaller terminal; below this hardly any is left.
const leastColumns, leastRows = 48, 12

// judgeTerminal is given the columns and rows of the terminal, 0 for none.
func judgeTerminal(getenv func(string) string, columns, rows int) []finding {
	name := getenv("TERM")
	switch {
	case columns == 0 || rows == 0:
		return []finding{okay("this is none: a walk is told line by line")}
	case name == "dumb" || name == "" && runtime.GOOS != "windows":
		return []finding{warn("set TERM to what it is, like TERM=xterm-256color", "TERM is %q: a walk is told line by line", name)}
	}
	var found []finding
	if columns < leastColumns || rows < leastRows {
		found = append(found, warn("make the window larger", "%d columns and %d rows are little; from %d and %d on all is shown", columns, rows, leastColumns, leastRows))
	}
	if !utf8Terminal(getenv) {
		found = append(found, warn("set a locale of UTF-8, like LANG=C.UTF-8", "the locale is not of UTF-8: the screen is drawn in ASCII"))
	}
	if getenv("NO_COLOR") != "" {
		found = append(found, okay("NO_COLOR is set: the screen has no colours"))
	}
	if len(found) == 0 {
		found = append(found, okay("%s, %d by %d, UTF-8", name, columns, rows))
	}
	return found
}

// speedLength is the walk that the detector's speed is measured on, s.
const speedLength = 5.0

// checkSpeed makes a walk and finds its steps as fast as this machine can.
func checkSpeed(context.Context, *checkup) []finding {
	w := made.Spec{Seed: 1, Duration: speedLength, Gait: made.Gait{Cadence: made.Steady(190), Start: 0.3}, Surface: footsteps.Surface("gravel")}.Walk()
	s, err := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	if err != nil {
		return []finding{fault("report it: this is a fault of the program", "the detector: %v", err)}
	}
	var events []detect.Event
	began := time.Now()
	for rest := w.Samples; len(rest) > 0; {
		n := min(len(rest), 512)
		events = s.Feed(events, rest[:n])
		rest = rest[n:]
	}
	events = s.Flush(events)
	took := time.Since(began)
	steps := 0
	for _, e := range events {
		if e.Kind == detect.KindStep {
			steps++
		}
	}
	return []finding{judgeSpeed(speedLength/max(1e-6, took.Seconds()), steps, len(w.Steps))}
}

// judgeSpeed is given how much faster than real time the detector was, and the
// steps it has found of those that there were.
func judgeSpeed(ratio float64, steps, of int) finding {
	const mend = "close other programs, charge the battery, leave the power-saving mode"
	switch {
	case steps < of/2:
		return fault("report it: this is a fault of the program", "of %d steps of a made walk %d were found", of, steps)
	case ratio < 1:
		return fault(mend, "steps are found at %.1f times the speed they are walked: too slow to follow", ratio)
	case ratio < 4:
		return warn(mend, "steps are found at only %.1f times the speed they are walked", ratio)
	}
	return okay("steps are found at %.0f times the speed they are walked", ratio)
}

// checkClock looks at the wall clock, by which walks are dated.
func checkClock(context.Context, *checkup) []finding { return []finding{judgeClock(time.Now())} }

func judgeClock(now time.Time) finding {
	if now.Year() < 2026 {
		return warn("set the clock (Linux: sudo timedatectl set-ntp true)", "it is %s by this machine's clock; walks would be dated so", now.Format(time.DateOnly))
	}
	return okay("%s", now.Format("2006-01-02 15:04 MST"))
}

// checkHelpers looks for the programs that are made use of where they are there.
func checkHelpers(context.Context, *checkup) []finding {
	path, err := exec.LookPath("ffmpeg")
	if err != nil {
		return []finding{okay("ffmpeg is not there; only recordings in rarer formats, and films, would need it")}
	}
	return []finding{okay("ffmpeg is %s", path)}
}
