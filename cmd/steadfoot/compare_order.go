package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"steadfoot/coach/compare"
	"steadfoot/profiles"
)

// orderSession is the session that walks two kinds of reps in turn, as a session
// file has it.
type orderSession struct {
	Name string     `toml:"name"`
	Note string     `toml:"note"`
	Lane int        `toml:"lane,omitempty"`
	Lap  string     `toml:"lap,omitempty"`
	Set  []orderSet `toml:"set"`
}

type orderSet struct {
	Rep []orderRep `toml:"rep"`
}

type orderRep struct {
	Label    string `toml:"label"`
	For      string `toml:"for"`
	Drill    bool   `toml:"drill"`
	Recovery string `toml:"recovery"`
}

// writeOrder suggests an order, and writes it as a session where that is asked
// for.
func (o *compareOptions) writeOrder(std stdio, rest []string) error {
	a, b, two := strings.Cut(o.order, ",")
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	if !two || a == "" || b == "" || a == b || strings.Contains(b, ",") || len(rest) > 0 {
		return usagef("--order %q: want two names and nothing else, like --order normal,drill", o.order)
	}
	order, err := compare.Order(o.reps)
	if err != nil {
		return usagef("--reps: %v", err)
	}
	if o.session != "" {
		if err := o.writeSession(a, b, order); err != nil {
			return err
		}
		fmt.Fprintf(std.err, "%s is written; 'steadfoot session check %s' shows it, 'steadfoot walk --session %s' walks it\n", o.session, o.session, o.session)
	}
	for i, second := range order {
		fmt.Fprintf(std.out, "%2d  %s\n", i+1, map[bool]string{false: a, true: b}[second])
	}
	fmt.Fprintf(std.out, "\nWalk all at the same effort, with the same rest between them, and mark the line\nat the start and end of each; then: steadfoot compare last:%s last:%s\n", a, b)
	return nil
}

// writeSession never writes over a file that is there.
func (o *compareOptions) writeSession(a, b string, order []bool) error {
	s := orderSession{
		Name: a + " against " + b,
		Note: "In an order in which tiring falls on both alike. All at the same effort; mark the line at the start and end of each rep.",
	}
	length := "400 m"
	switch {
	case o.lane != 0:
		s.Lane, length = o.lane, "1 lap"
	case o.length > 0:
		length = fmt.Sprintf("%g m", o.length)
		s.Lap = length
	default:
		s.Lane, length = 1, "1 lap"
	}
	var set orderSet
	for _, second := range order {
		rep := orderRep{Label: a, For: length, Recovery: "ready"}
		if second {
			rep.Label, rep.Drill = b, true
		}
		set.Rep = append(set.Rep, rep)
	}
	s.Set = []orderSet{set}
	text, err := toml.Marshal(s)
	if err != nil {
		return err
	}
	// What is written must be what can be walked.
	if _, err := profiles.ParsePlan(o.session, text); err != nil {
		return err
	}
	f, err := os.OpenFile(o.session, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err := bytes.NewReader(text).WriteTo(f); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
