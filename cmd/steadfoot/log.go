package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/coach/logbook"
	"steadfoot/coach/review"
)

const logHelp = `
Finds and keeps the stored walks.

  list             the walks, the newest first; --athlete, --text, --tag, --since
                   and --until narrow them down
  note ID TEXT     write something about a walk, in place of what was there
  tag ID TAG...    put tags on a walk; --off takes them off again
  label ID TEXT    give it another label
  athlete ID NAME  say whose walk it is
  sound ID         where a walk's sound is, if it was kept; --delete deletes it,
                   and nothing else of the walk
  delete ID        set a walk aside; 'undelete ID' brings it back
  purge            remove what was deleted more than 30 days ago, for good, with
                   its sound
  merge FILE       copy what another store has and this one has not, but no sounds
  backup FILE      copy the whole store to a new file, but no sounds, and check it
  restore FILE     put a backup in the place of the store, which is kept beside it

ID is a walk's number, or 'last'. The store is steadfoot/log.db in $XDG_DATA_HOME
or ~/.local/share, or what --store names.

Examples:
  steadfoot log list --athlete "Mira Tal" --since 2026-05-01 --tag drill
  steadfoot log note last "headwind on the far straight"
  steadfoot log tag 12 drill wind
  steadfoot log tag 12 wind --off
  steadfoot log delete 12
  steadfoot log sound 12 --delete
  steadfoot log merge dana-laptop.db
  steadfoot log backup /media/stick/walks-2026-05.db`

// logOptions are the flags of log.
type logOptions struct {
	store                   string
	athlete, text           string
	tags                    []string
	since, until            string
	deleted, json, off, yes bool
	deleteSound             bool
}

// logVerb is one of the things log does: what it is called with, and whether it
// needs a store that is there.
type logVerb struct {
	least, most int // arguments after the verb
	run         func(std stdio, s *logbook.Store, o logOptions, args []string) error
}

var logVerbs = map[string]logVerb{
	"list":     {0, 0, logList},
	"note":     {2, 2, logNote},
	"tag":      {2, 50, logTag},
	"label":    {2, 2, logLabel},
	"athlete":  {2, 2, logAthlete},
	"sound":    {1, 1, logSound},
	"delete":   {1, 1, logDelete},
	"undelete": {1, 1, logUndelete},
	"purge":    {0, 0, logPurge},
	"merge":    {1, 1, logMerge},
	"backup":   {1, 1, logBackup},
	"restore":  {1, 1, nil},
}

func runLog(_ context.Context, std stdio, args []string) error {
	var o logOptions
	fs := newFlags(std, "log", "log VERB [arguments] [flags]", logHelp)
	addLogFlags(fs, &o)
	rest, err := parseFlags(fs, args, 1, 60)
	if err != nil {
		return err
	}
	verb, ok := logVerbs[rest[0]]
	switch n := len(rest) - 1; {
	case !ok:
		return usagef("%q is no part of log; see 'steadfoot log --help'", rest[0])
	case n < verb.least:
		return usagef("log %s wants more; see 'steadfoot log --help'", rest[0])
	case n > verb.most:
		return usagef("unexpected argument %q; text of several words goes in quotes", rest[verb.most+1])
	}
	path, err := storeFile(o.store)
	if err != nil {
		return err
	}
	if rest[0] == "restore" {
		return logRestore(std, path, rest[1])
	}
	s, err := openForReview(o.store)
	if rest[0] == "merge" { // into a store that may be new
		if path, err = storePath(o.store); err == nil {
			s, err = logbook.Open(path)
		}
	}
	if err != nil {
		return err
	}
	if rest[0] != "list" && rest[0] != "merge" { // it writes
		if err := s.Close(); err != nil {
			return err
		}
		if s, err = logbook.Open(path); err != nil {
			return err
		}
	}
	defer s.Close()
	return verb.run(std, s, o, rest[1:])
}

func addLogFlags(fs *pflag.FlagSet, o *logOptions) {
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.StringVar(&o.athlete, "athlete", "", "list: walks of this athlete")
	fs.StringVar(&o.text, "text", "", "list: walks with this in label, session or note")
	fs.StringArrayVar(&o.tags, "tag", nil, "list: walks with this tag; may be given again")
	fs.StringVar(&o.since, "since", "", "list: walks from this day on, like 2026-05-01")
	fs.StringVar(&o.until, "until", "", "list: walks up to and with this day")
	fs.BoolVar(&o.deleted, "deleted", false, "list: those that are deleted")
	fs.BoolVar(&o.json, "json", false, "list: as JSON Lines")
	fs.BoolVar(&o.off, "off", false, "tag: take them off")
	fs.BoolVar(&o.deleteSound, "delete", false, "sound: delete it, for good")
	fs.BoolVar(&o.yes, "yes", false, "delete, purge, sound: do not ask")
}

func logList(std stdio, s *logbook.Store, o logOptions, _ []string) error {
	f := logbook.Filter{Athlete: o.athlete, Text: o.text, Tags: o.tags, Deleted: o.deleted}
	var err error
	if f.From, err = parseDay("since", o.since, 0); err != nil {
		return err
	}
	if f.Before, err = parseDay("until", o.until, 1); err != nil {
		return err
	}
	list, err := s.Find(f)
	switch {
	case err != nil:
		return err
	case o.json:
		return review.ListJSON(std.out, list)
	case len(list) == 0:
		_, err = fmt.Fprintln(std.out, "No such walks.")
		return err
	}
	return review.List(std.out, list)
}

// parseDay reads a day and returns its start, or that of a later day.
func parseDay(flag, text string, later int) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.ParseInLocation(time.DateOnly, text, time.Local)
	if err != nil {
		return t, usagef("--%s %q: want a day like 2026-05-01", flag, text)
	}
	return t.AddDate(0, 0, later), nil
}

func logNote(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	return s.SetNote(id, args[1])
}

func logTag(std stdio, s *logbook.Store, o logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	on, off := args[1:], []string(nil)
	if o.off {
		on, off = off, on
	}
	return s.Tag(id, on, off)
}

func logLabel(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	return s.Rename(id, nil, &args[1])
}

func logAthlete(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	return s.Rename(id, &args[1], nil)
}

func logDelete(std stdio, s *logbook.Store, o logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	_, i, err := s.Session(id)
	if err != nil {
		return err
	}
	what := strings.TrimSpace(fmt.Sprintf("walk %d of %s, %s %s", id, i.Started.Format("2 January 2006"), i.Athlete, i.Label))
	if err := confirm(std, o, "Delete "+what+"?"); err != nil {
		return err
	}
	if err := s.Delete(id, time.Now()); err != nil {
		return err
	}
	fmt.Fprintf(std.out, "Walk %d is deleted; 'steadfoot log undelete %d' brings it back.\n", id, id)
	if i.Sound > 0 {
		fmt.Fprintf(std.out, "Its sound goes when the walk is purged; 'steadfoot log sound %d --delete' deletes it now.\n", id)
	}
	return nil
}

func logUndelete(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	id, err := sessionID(s, args[0])
	if err != nil {
		return err
	}
	return s.Undelete(id)
}

// keptDeleted is how long a deleted walk is kept before purge removes it.
const keptDeleted = 30 * 24 * time.Hour

func logPurge(std stdio, s *logbook.Store, o logOptions, _ []string) error {
	if err := confirm(std, o, "Remove for good what was deleted more than 30 days ago?"); err != nil {
		return err
	}
	n, err := s.Purge(time.Now().Add(-keptDeleted))
	if err == nil {
		_, err = fmt.Fprintf(std.out, "%d removed.\n", n)
	}
	return err
}

// confirm asks on the terminal; without one, --yes must have been given.
func confirm(std stdio, o logOptions, question string) error {
	if o.yes {
		return nil
	}
	if !isTerminal(std.err) {
		return usagef("%s Give --yes to do so without being asked", question)
	}
	fmt.Fprint(std.err, question, " (y/n) ")
	answer, _ := bufio.NewReaderSize(std.in, 64).ReadSlice('\n') // a longer one is no yes
	if a := strings.ToLower(strings.TrimSpace(string(answer))); a != "y" && a != "yes" {
		return errors.New("nothing was changed")
	}
	return nil
}

func logMerge(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	added, known, err := s.Merge(args[0])
	if err == nil {
		_, err = fmt.Fprintf(std.out, "%d walks added, %d were here already.\n", added, known)
		sayNoSounds(std, filepath.Join(filepath.Dir(args[0]), filepath.Base(s.SoundFolder())), s.SoundFolder())
	}
	return err
}

func logBackup(std stdio, s *logbook.Store, _ logOptions, args []string) error {
	if err := s.Backup(args[0]); err != nil {
		return err
	}
	_, err := fmt.Fprintf(std.out, "%s holds all walks, and was checked.\n", args[0])
	sayNoSounds(std, s.SoundFolder(), "")
	return err
}

func logRestore(std stdio, path, from string) error {
	if same(path, from) {
		return usagef("%s is the store itself", from)
	}
	kept, err := logbook.Restore(from, path)
	if err != nil {
		return err
	}
	if kept != "" {
		fmt.Fprintf(std.out, "What was there is kept as %s.\n", kept)
	}
	_, err = fmt.Fprintf(std.out, "%s is in place.\n", from)
	return err
}
