package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strconv"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
)

const reviewHelp = `
Without an argument it lists the stored walks, the newest first. With the number
of one, or 'last', it prints that walk: steps, cadence and pace over time against
the target band, what was said and why, gaps and faults.

The walks are in steadfoot/log.db in $XDG_DATA_HOME or ~/.local/share, or in the
file that --store names.

With --replay the stored steps, rhythm, marks, gaps and faults are given to the
coach once more, and its cues, beats and paces are compared with the stored
ones, to the bit. The exit status is 1 when anything differs.

With --report the walk becomes one page that needs no network and no other file:
cadence and pace over time, reps or laps, step length and cadence, how the feet
met the beat, how well it was heard. It can be printed, or saved as PDF from the
browser.

With --trend it tells how weeks and months went, for each athlete: how much was
walked, time in the band, unevenness, and from marked laps step length at a cadence
and cadence at a pace, each with its standard error and its line over time.

Examples:
  steadfoot review                  every walk, one a line
  steadfoot review last             the newest one
  steadfoot review 12 --json        walk 12, every event, as JSON Lines
  steadfoot review last --replay    would the coach say the same again?
  steadfoot review last --report walk.html --plots pictures
  steadfoot review --trend --athlete "Mira Tal" --since 2026-05-01
  steadfoot review --trend --report season.html
`

// reviewOptions are the flags of review.
type reviewOptions struct {
	store        string
	json, replay bool
	files        reportFiles
	trend        trendOptions
	review.Style
}

func runReview(_ context.Context, std stdio, args []string) error {
	var o reviewOptions
	fs := newFlags(std, "review", "review [ID|last] [flags]", reviewHelp)
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.BoolVar(&o.json, "json", false, "print JSON Lines")
	fs.BoolVar(&o.replay, "replay", false, "give the walk to the coach again and compare")
	fs.StringVar(&o.files.page, "report", "", "write the walk, or the trend, as one HTML page to read, print or send")
	fs.StringVar(&o.files.plots, "plots", "", "write each plot as SVG and PNG into this folder")
	fs.BoolVar(&o.ASCII, "ascii", false, "draw with plain ASCII characters")
	o.trend.flags(fs)
	rest, err := parseFlags(fs, args, 0, 1)
	if err != nil {
		return err
	}
	if err := o.check(fs, rest); err != nil {
		return err
	}
	s, err := openForReview(o.store)
	if err != nil {
		return err
	}
	defer s.Close()
	if o.trend.wanted {
		return reviewTrend(std, s, o)
	}
	if len(rest) == 0 {
		return reviewList(std.out, s, o)
	}
	id, err := sessionID(s, rest[0])
	if err != nil {
		return err
	}
	h, info, events, err := wholeWalk(s, id)
	if err != nil {
		return err
	}
	return printReview(std.out, o, h, info, events)
}

// check finds wrong use before anything is opened.
func (o *reviewOptions) check(fs *pflag.FlagSet, rest []string) error {
	switch {
	case o.trend.wanted && (len(rest) > 0 || o.replay):
		return usagef("--trend is of all walks, or those of --athlete, --since and --until; leave out the walk's number and --replay")
	case o.trend.wanted && o.json && o.files.wanted():
		return usagef("--json prints, --report and --plots write files: give one")
	case o.replay && (len(rest) == 0 || o.json):
		return usagef("--replay wants one walk, by its number or 'last', and no --json")
	case o.files.wanted() && !o.trend.wanted && (len(rest) == 0 || o.json || o.replay):
		return usagef("--report and --plots want one walk, by its number or 'last', and neither --json nor --replay; or --trend")
	}
	if err := o.trend.check(fs); err != nil {
		return err
	}
	return o.files.check()
}

func openForReview(flag string) (*logbook.Store, error) {
	path, err := storeFile(flag)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no store at %s yet; 'steadfoot walk' makes one, or name another with --store", path)
	}
	s, err := logbook.OpenReadOnly(path)
	if errors.Is(err, logbook.ErrOld) {
		return logbook.Open(path)
	}
	return s, err
}

// sessionID turns what the user typed into the number of a session.
func sessionID(s *logbook.Store, arg string) (int64, error) {
	if arg == "last" {
		list, err := s.Find(logbook.Filter{Limit: 1})
		if err != nil {
			return 0, err
		}
		if len(list) == 0 {
			return 0, errors.New("the store is empty; 'steadfoot walk' adds a walk")
		}
		return list[0].ID, nil
	}
	id, err := strconv.ParseInt(arg, 10, 64)
	if err != nil {
		return 0, usagef("%q is not a walk; give its number, or 'last'; 'steadfoot review' lists them", arg)
	}
	return id, nil
}

func reviewList(w io.Writer, s *logbook.Store, o reviewOptions) error {
	list, err := s.Sessions()
	switch {
	case err != nil:
		return err
	case o.json:
		return review.ListJSON(w, list)
	case len(list) == 0:
		_, err = fmt.Fprintln(w, "No walks yet; 'steadfoot walk' adds one.")
		return err
	}
	return review.List(w, list)
}

// reviewOne prints a walk that was just stored, and keeps what trends want of it, so
// that they need not read it.
func reviewOne(w io.Writer, s *logbook.Store, id int64, o reviewOptions) error {
	h, info, events, err := wholeWalk(s, id)
	if err != nil {
		return err
	}
	keepDigest(s, h, info, events)
	return printReview(w, o, h, info, events)
}

// printReview prints a walk, or writes its report, as o wants.
func printReview(w io.Writer, o reviewOptions, h logbook.Header, info logbook.Info, events []event.Event) error {
	switch {
	case o.replay:
		return reviewReplay(w, h, events)
	case o.json:
		return review.PrintJSON(w, h, info, events)
	case o.files.wanted():
		r := review.NewReport(h, info, events)
		return o.files.write(w, r.WriteHTML, r.Figures())
	}
	return review.Print(w, o.Style, h, info, events)
}

// reviewReplay compares the stored answers of the coach with those it gives to
// the stored inputs now.
func reviewReplay(w io.Writer, h logbook.Header, events []event.Event) error {
	var set coach.Settings
	if err := json.Unmarshal(h.Settings, &set); err != nil {
		return fmt.Errorf("the walk's settings cannot be read, so it cannot be replayed: %w", err)
	}
	diffs := coach.Replay(set, slices.Values(events))
	for _, d := range diffs {
		fmt.Fprintf(w, "%10.3f s  %s\n", d.T, d.What)
	}
	if len(diffs) > 0 {
		return fmt.Errorf("differences from the stored answers: %d", len(diffs))
	}
	cues, pieces := 0, 0
	for _, e := range events {
		switch e.(type) {
		case event.Cue:
			cues++
		case event.Beat:
			pieces++
		}
	}
	_, err := fmt.Fprintf(w, "no difference: %d cues, %d beat pieces\n", cues, pieces)
	return err
}
