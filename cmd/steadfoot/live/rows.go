package live

import (
	"fmt"

	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/intake"
)

// Lines brings what a sensor sends, without waiting: an intake.Intake.
type Lines interface {
	Name() string
	Next() (intake.Line, bool)
	Trouble() string
	Away() bool
}

// silentS is how long a sensor may send no row before that is told, s.
const silentS = 3.0

// Rows are the rows of a live sensor, on the clock of the session.
type Rows struct {
	lines Lines
	live  *sensor.Live
	align *sensor.Align // nil: the sensor's clock is the session's

	last   float64 // session time when the last row came, s
	silent bool    // told that none comes
	faults []string
}

// NewRows returns the rows in lines. With follow their times are put on the clock
// of the session by when they come, for that has a clock of its own; else the
// sensor's stamps are that clock, from when the first of them came.
func NewRows(lines Lines, o sensor.Options, follow bool) *Rows {
	r := &Rows{lines: lines, live: sensor.NewLive(lines.Name(), o)}
	if follow {
		r.align = new(sensor.Align)
	}
	return r
}

// Name is that of the lines.
func (r *Rows) Name() string { return r.lines.Name() }

// Take gives the rows that have come up to session time now, s, in order of their
// times, which rise.
func (r *Rows) Take(now float64, give func(sensor.Row)) {
	for line, ok := r.lines.Next(); ok; line, ok = r.lines.Next() {
		row, ok := r.live.Line(line.Text, now, line.Fresh)
		if !ok {
			continue
		}
		r.last = now
		if r.align != nil {
			if r.live.Reset() {
				r.align.Forget()
			}
			row.T = r.align.Map(row.T, now)
		}
		give(row)
	}
	if r.lines.Away() { // which was told; what counts is whether rows come when it is back
		r.last, r.silent = now, false
		return
	}
	if quiet := now-r.last > silentS; quiet != r.silent {
		r.silent = quiet
		what := "rows come again"
		if quiet {
			what = fmt.Sprintf("no row for %.0f s; is the sensor on, and does it send to the right place?", silentS)
		}
		r.faults = append(r.faults, r.Name()+": "+what)
	}
}

// Fault is what went wrong since it was last asked for, in one line.
func (r *Rows) Fault() string {
	if what := r.lines.Trouble(); what != "" {
		return what
	}
	if what := r.live.Fault(); what != "" {
		return what
	}
	if len(r.faults) == 0 {
		return ""
	}
	what := r.faults[0]
	r.faults = r.faults[1:]
	return what
}

// Warnings tells at the end what was left out.
func (r *Rows) Warnings() []string { return r.live.Warnings() }
