package main

import (
	"bufio"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
)

const exportHelp = `
Writes a stored walk for other programs. Give one or more files:

  --steps FILE.csv    every step: time, foot, confidence, heard or bridged, and
                      the cadence and pace at the time
  --reps FILE.csv     every part of the session, or every lap without one
  --events FILE.jsonl everything, one event a line; 'steadfoot import' reads it
                      back without loss
  --midi FILE.mid     the beat, as a Standard MIDI File
  --wav FILE.wav      the sound of the walk, when it was kept, or the recording of
                      it that --sound names, with cue points at steps and beats

A file of - is standard output. CSV is as RFC 4180 has it, in m, s and s/km; text
that a spreadsheet would take for a formula has an apostrophe in front.

Examples:
  steadfoot export last --steps steps.csv --reps reps.csv
  steadfoot export 12 --events walk-12.jsonl
  steadfoot export 12 --events - | jq 'select(.kind=="cue")'`

const importHelp = `
Reads walks that 'steadfoot export --events' wrote into the store. A walk that is
there already is not read again.

Examples:
  steadfoot import walk-12.jsonl
  steadfoot import *.jsonl --store team.db`

// exportOptions are the flags of export.
type exportOptions struct {
	store                     string
	steps, reps, events, midi string
	wav, sound                string
}

// exported is a walk as it is written.
type exported struct {
	header logbook.Header
	info   logbook.Info
	events []event.Event
}

func runExport(_ context.Context, std stdio, args []string) error {
	var o exportOptions
	fs := newFlags(std, "export", "export ID|last [flags]", exportHelp)
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.StringVar(&o.steps, "steps", "", "write the steps as CSV")
	fs.StringVar(&o.reps, "reps", "", "write the reps, or laps, as CSV")
	fs.StringVar(&o.events, "events", "", "write everything as JSON Lines")
	fs.StringVar(&o.midi, "midi", "", "write the beat as MIDI")
	fs.StringVar(&o.wav, "wav", "", "write the sound with cue points at steps and beats")
	fs.StringVar(&o.sound, "sound", "", "recording to take for --wav instead of the kept sound")
	rest, err := parseFlags(fs, args, 1, 1)
	if err != nil {
		return err
	}
	switch {
	case o.steps+o.reps+o.events+o.midi+o.wav == "":
		return usagef("say what to write: --steps, --reps, --events, --midi or --wav, each with a file")
	case o.sound != "" && o.wav == "":
		return usagef("--sound goes with --wav")
	case o.wav == "-" || o.midi == "-":
		return usagef("only --steps, --reps and --events can go to standard output")
	}
	s, err := openForReview(o.store)
	if err != nil {
		return err
	}
	defer s.Close()
	x, err := readWalk(s, rest[0])
	if err != nil {
		return err
	}
	for _, part := range []struct {
		to    string
		write func(io.Writer, exported) error
	}{{o.steps, writeSteps}, {o.reps, writeReps}, {o.events, writeEvents}} {
		if part.to == "" {
			continue
		}
		if err := writeTo(std, part.to, func(w io.Writer) error { return part.write(w, x) }); err != nil {
			return err
		}
	}
	if o.midi != "" {
		if err := exportMIDI(o.midi, x); err != nil {
			return err
		}
	}
	if o.wav == "" {
		return nil
	}
	behind, err := writeCuedWAV(o.wav, s, x, o.sound)
	if err == nil && behind > 0 {
		fmt.Fprintf(std.err, "steadfoot export: warning: %d steps and beats lie behind the end of the sound\n", behind)
	}
	return err
}

func readWalk(s *logbook.Store, arg string) (x exported, err error) {
	id, err := sessionID(s, arg)
	if err != nil {
		return x, err
	}
	x.header, x.info, x.events, err = wholeWalk(s, id)
	return x, err
}

// writeTo writes a file, or standard output for "-".
func writeTo(std stdio, name string, write func(io.Writer) error) error {
	if name == "-" {
		b := bufio.NewWriter(std.out)
		return errors.Join(write(b), b.Flush())
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	b := bufio.NewWriter(f)
	return errors.Join(write(b), b.Flush(), f.Close())
}

func writeEvents(w io.Writer, x exported) error {
	return review.PrintJSON(w, x.header, x.info, x.events)
}

// number writes a number with as many digits as it takes to read it back.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// rounded writes a number with n decimals, nothing for one that is not known.
func rounded(v float64, n int) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'f', n, 64)
}

// cell is text that no spreadsheet takes for a formula.
func cell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

func newCSV(w io.Writer) *csv.Writer {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c
}

func writeSteps(w io.Writer, x exported) error {
	c := newCSV(w)
	c.Write([]string{"t_s", "foot", "confidence", "heard", "cadence_steps_per_min", "pace_s_per_km", "distance_m"})
	var r event.Rhythm
	for _, e := range x.events {
		switch e := e.(type) {
		case event.Rhythm:
			r = e
		case event.Step:
			c.Write([]string{number(e.T), e.Side.String(), rounded(e.Confidence, 4), strconv.FormatBool(e.Heard), rounded(r.Cadence, 2), rounded(r.Pace, 1), rounded(r.Distance, 1)})
		}
	}
	c.Flush()
	return c.Error()
}

func writeReps(w io.Writer, x exported) error {
	s := review.Analyse(x.header, x.events)
	c := newCSV(w)
	c.Write([]string{"n", "role", "label", "set", "rep", "start_s", "time_s", "distance_m", "cadence_steps_per_min", "pace_s_per_km", "step_length_m", "in_band", "cues"})
	for _, p := range s.Parts {
		in := ""
		if p.Aimed {
			in = strconv.FormatFloat(p.In, 'f', 3, 64)
		}
		c.Write([]string{strconv.Itoa(p.N), p.Role, cell(p.Label), strconv.Itoa(p.Set), strconv.Itoa(p.Rep), number(p.T), rounded(p.Time, 2), rounded(p.Walked, 1),
			rounded(p.Cadence, 2), rounded(p.Pace, 1), rounded(p.StepLength, 3), in, strconv.Itoa(p.Cues)})
	}
	if len(s.Parts) == 0 {
		for i, l := range s.Laps {
			length := coach.LengthOf(l.Pace, l.Cadence)
			c.Write([]string{strconv.Itoa(i + 1), "lap", cell(l.Note), "", "", number(l.T - l.Length), rounded(l.Length, 2), "", rounded(l.Cadence, 2), rounded(l.Pace, 1), rounded(length, 3), "", ""})
		}
	}
	c.Flush()
	return c.Error()
}

func exportMIDI(path string, x exported) error {
	m := beatMap(x)
	if len(m.Pieces()) == 0 {
		return fmt.Errorf("walk %d had no beat", x.info.ID)
	}
	return writeMIDI(path, strings.TrimSpace(x.info.Athlete+" "+x.info.Label), m, x.info.Duration)
}

func runImport(_ context.Context, std stdio, args []string) error {
	fs := newFlags(std, "import", "import FILE... [flags]", importHelp)
	store := fs.String("store", "", "file the walks are kept in")
	rest, err := parseFlags(fs, args, 1, 1000)
	if err != nil {
		return err
	}
	path, err := storePath(*store)
	if err != nil {
		return err
	}
	s, err := logbook.Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	for _, name := range rest {
		f, err := os.Open(name)
		if err != nil {
			return err
		}
		words, err := importWalk(s, name, f)
		f.Close()
		if err != nil {
			return err
		}
		fmt.Fprintln(std.out, words)
	}
	return nil
}

// longestLine is more than any line of an export takes: the settings of a session
// with a thousand parts are the longest.
const longestLine = 16 << 20

// mostEvents is more than a walk of a day has: some six a second.
const mostEvents = 1_000_000

// importWalk reads one export, whole, before anything is stored.
func importWalk(s *logbook.Store, name string, r io.Reader) (string, error) {
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 64<<10), longestLine)
	fault := func(n int, err error) error { return fmt.Errorf("%s:%d: %w", name, n, err) }
	var h review.Stored
	var events []event.Event
	for n := 1; in.Scan(); n++ {
		line := in.Bytes()
		if n == 1 {
			if err := json.Unmarshal(line, &h); err != nil || h.Kind != "session" {
				return "", fault(n, errors.New("not a walk that 'steadfoot export --events' wrote: the first line must be its session"))
			}
			continue
		}
		var kind struct {
			Kind string `json:"kind"`
		}
		if err := json.Unmarshal(line, &kind); err != nil {
			return "", fault(n, fmt.Errorf("not JSON; the file may be cut off: %v", err))
		}
		if kind.Kind == "summary" { // follows from the events
			continue
		}
		e, err := event.ParseJSON(line)
		if err != nil {
			return "", fault(n, err)
		}
		if len(events) == mostEvents {
			return "", fault(n, fmt.Errorf("more than %d events are no walk", mostEvents))
		}
		events = append(events, e)
	}
	if err := in.Err(); errors.Is(err, bufio.ErrTooLong) {
		return "", fmt.Errorf("%s: a line is longer than %d MB; not a walk that 'steadfoot export --events' wrote", name, longestLine>>20)
	} else if err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	id, known, err := s.Import(h.Header(), h.Info(), slices.Values(events))
	switch {
	case err != nil:
		return "", fmt.Errorf("%s: %w", name, err)
	case known:
		return fmt.Sprintf("%s is walk %d already.", name, id), nil
	}
	return fmt.Sprintf("%s is walk %d now, with %d events.", name, id, len(events)), nil
}
