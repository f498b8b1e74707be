package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"time"

	"steadfoot/coach/measure"
	"steadfoot/coach/units"
	"steadfoot/profiles"
)

// report prints the passes and the line through them and those of the profile,
// and saves what is to be saved.
func (o *measureOptions) report(std stdio, passes []pass, now time.Time) error {
	var before []profiles.Measured
	if o.profile != "" {
		a, err := findProfile(o.profile)
		if err != nil {
			return err
		}
		before = a.Measured
	}
	line, lineErr := measure.FitLine(append(earlier(before), plain(passes)...))
	w := bufio.NewWriter(std.out)
	if o.json {
		if err := o.writeJSON(w, passes, line, lineErr); err != nil {
			return err
		}
	} else {
		o.print(w, passes, len(before), line, lineErr)
	}
	if err := w.Flush(); err != nil || !o.save {
		return err
	}
	return o.saveTo(std, passes, now)
}

// earlier makes passes of what a profile holds.
func earlier(list []profiles.Measured) []measure.Pass {
	var out []measure.Pass
	for _, m := range list {
		d := m.Distance
		if d == 0 {
			d = 400
		}
		steps := d / m.Length
		out = append(out, measure.Pass{Distance: d, Steps: steps, StepsSD: steps * m.LengthSD / m.Length, Time: 60 * steps / m.Cadence})
	}
	return out
}

func plain(passes []pass) []measure.Pass {
	var out []measure.Pass
	for _, p := range passes {
		out = append(out, p.Pass)
	}
	return out
}

func (o *measureOptions) print(w io.Writer, passes []pass, before int, line measure.Line, lineErr error) {
	for _, p := range passes {
		l := p.Length()
		lo, hi := l.Interval()
		fmt.Fprintf(w, "%s: step length %s (95 %% %s to %s)\n", p.source, o.system.Length(l.Value), o.system.Length(lo), o.system.Length(hi))
		fmt.Fprintf(w, "  %.1f steps over %s", p.Steps, o.system.Distance(math.Round(p.Distance*100)/100))
		if c := p.Cadence(); c.Value > 0 {
			fmt.Fprintf(w, ", cadence %.1f steps/min, pace %s", c.Value, o.system.Pace(p.Pace().Value))
		}
		fmt.Fprintln(w)
	}
	all := len(passes) + before
	switch {
	case all < 2:
	case lineErr != nil:
		fmt.Fprintf(w, "No line yet: %v.\n", lineErr)
	default:
		o.printLine(w, line)
	}
}

func (o *measureOptions) printLine(w io.Writer, l measure.Line) {
	fmt.Fprintf(w, "\nStep length against cadence, %d passes, cadence %.0f to %.0f steps/min\n", l.Passes, l.From, l.To)
	per, unit := 1e3, "mm"
	if o.system == units.Imperial {
		per, unit = 1/units.Inch, "in"
	}
	fmt.Fprintf(w, "  %+.2f %s for one step/min more (standard error %.2f), scatter %.1f %s\n", per*l.Slope.Value, unit, per*l.Slope.SD, per*l.Scatter, unit)
	for _, c := range []float64{l.From, (l.From + l.To) / 2, l.To} {
		lo, hi := l.Interval(c)
		fmt.Fprintf(w, "  at %.0f steps/min %s (95 %% %s to %s)\n", c, o.system.Length(l.At(c).Value), o.system.Length(lo), o.system.Length(hi))
	}
	for _, warning := range l.Warnings {
		fmt.Fprintf(w, "  Note: %s.\n", warning)
	}
}

// valueJSON is a figure with its standard deviation.
type valueJSON struct {
	Value float64 `json:"value"`
	SD    float64 `json:"sd"`
}

type passJSON struct {
	Kind     string     `json:"kind"` // "pass"
	Source   string     `json:"source"`
	Length   valueJSON  `json:"step_length"`       // m
	Cadence  *valueJSON `json:"cadence,omitempty"` // steps/min
	Pace     *valueJSON `json:"pace,omitempty"`    // s/km
	Steps    valueJSON  `json:"steps"`
	Distance valueJSON  `json:"distance"` // m
}

type lineJSON struct {
	Kind      string    `json:"kind"` // "line"
	Slope     valueJSON `json:"slope"`
	Intercept valueJSON `json:"intercept"`
	Scatter   float64   `json:"scatter"` // m
	R2        float64   `json:"r2"`
	Passes    int       `json:"passes"`
	From      float64   `json:"from"` // steps/min
	To        float64   `json:"to"`
	Warnings  []string  `json:"warnings,omitempty"`
}

func (o *measureOptions) writeJSON(w io.Writer, passes []pass, l measure.Line, lineErr error) error {
	enc := json.NewEncoder(w)
	value := func(v measure.Value) valueJSON { return valueJSON(v) }
	for _, p := range passes {
		j := passJSON{Kind: "pass", Source: p.source, Length: value(p.Length()), Steps: valueJSON{p.Steps, p.StepsSD}, Distance: valueJSON{p.Distance, p.DistanceSD}}
		if p.Time > 0 {
			c, pace := value(p.Cadence()), value(p.Pace())
			j.Cadence, j.Pace = &c, &pace
		}
		if err := enc.Encode(j); err != nil {
			return err
		}
	}
	if lineErr != nil {
		return nil
	}
	return enc.Encode(lineJSON{Kind: "line", Slope: value(l.Slope), Intercept: value(l.Intercept), Scatter: l.Scatter, R2: l.R2,
		Passes: l.Passes, From: l.From, To: l.To, Warnings: l.Warnings})
}

// saveTo adds the passes to the profile. The new file takes the place of the old
// one in one step, and only when it can be read.
func (o *measureOptions) saveTo(std stdio, passes []pass, now time.Time) error {
	path, err := profilePath(o.profile)
	if err != nil {
		return err
	}
	data, err := readAtMost(path, mostProfile, "profile")
	if err != nil {
		return err
	}
	var list []profiles.Measured
	for _, p := range passes {
		if p.Time == 0 {
			return errors.New("a pass is saved with its cadence; give its --time")
		}
		list = append(list, profiles.Measured{Date: now.Format(time.DateOnly), Note: o.note, Cadence: round(p.Cadence().Value, 10),
			Length: round(p.Length().Value, 1e4), LengthSD: round(p.Length().SD, 1e4), Distance: round(p.Distance, 100)})
	}
	text, err := profiles.AppendMeasured(data, list...)
	if err != nil {
		return err
	}
	a, err := profiles.Parse(path, text)
	if err != nil {
		return fmt.Errorf("not saved, the profile would not be readable: %w", err)
	}
	if err := replaceFile(path, text); err != nil {
		return err
	}
	fmt.Fprintf(std.err, "%d added to %s, which has %d now.\n", len(list), path, len(a.Measured))
	if own := profiles.MeasuredCurve(a.Measured); len(own) != len(a.StepLength) || own[0] != a.StepLength[0] {
		fmt.Fprintln(std.err, "The profile also gives a step length itself, and goes by that; remove step_length or step_lengths to go by what was measured.")
	}
	return nil
}

func round(x, per float64) float64 { return math.Round(x*per) / per }

// replaceFile puts text in the place of a file, whole or not at all.
func replaceFile(path string, text []byte) error {
	st, err := os.Stat(path)
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".steadfoot-*.toml")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // when it did not become path
	_, err = f.Write(text)
	if err := errors.Join(err, f.Chmod(st.Mode().Perm()), f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
