package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/profiles"
	"steadfoot/profiles/examples/sessions"
)

const sessionHelp = `
A session is a TOML file: warm-up, sets of reps, recoveries, cool-down.
'steadfoot walk --session FILE' walks it.

  check FILE       works it out and prints every part: target, cadence and pace,
                   time, steps and lap times, and the totals; or the first
                   mistake as FILE:LINE
  list             the built-in examples, of an invented club
  example NAME     prints one, to start from

Instead of a file, check takes the name of an example. With a step length (of a
profile, or --step-length) a pace becomes a cadence and the steps are counted.

In the file, all but the name and what is to be walked may be left out:

  name = "Kilometres"
  lane = 1                       or lap = "2.5 km": what a press of the lap key is
  race = { distance = "20 km", time = "1:32:00" }      or { pace = "4:36" }
  [warm_up]
  for = "15:00"                  "400 m", "1.5 km", "2 laps", "30 s", "ready"
  [[set]]
  rounds = 2                     between = "5:00" after a round, after = "none"
  [[set.rep]]                    as many kinds of rep as you like
  times = 5
  for = "1 km"
  target = "100 % of race pace"  "192 steps/min", "4:30 /km"; free if left out
  to = "..."                     a ramp within each rep
  last = "..."                   another target for the last rep, and in between
  recovery = "200 m"             after each rep; "ready" waits for the skip key
  beat = "lead"                  off, steady, lead, follow, on demand
  band = { slow = 4, quick = 2, unit = "%" }
  drill = true                   with a label
  remind = [ { say = "hips", at = "300 m" } ]          every, before_end
  effort = [ { at = "0 km", target = "..." }, ... ]    glide = true
  [cool_down]
  for = "10:00"

'103 % of race pace' takes 3 % longer, '103 % of race speed' is 3 % quicker. A
recovery follows every rep, the last one too; 'between' and 'after' stand in its
place. There is no beat in a recovery unless recovery_target and recovery_beat
ask for one. Distances are counted in steps and set right by the lap key at the
line; steps slower than 90 a minute are not followed, so let a stroll end by time
or by the key.

Examples:
  steadfoot session list
  steadfoot session example kilometres > tuesday.toml
  steadfoot session check tuesday.toml --profile mira-tal
  steadfoot session check five-minutes --step-length 1.05 --cadence 160
  steadfoot session check tuesday.toml --json`

// sessionOptions are the flags of session.
type sessionOptions struct {
	profile    string
	stepLength float64
	cadence    float64
	json       bool
}

func runSession(_ context.Context, std stdio, args []string) error {
	var o sessionOptions
	flags := newFlags(std, "session", "session check FILE | list | example NAME [flags]", sessionHelp)
	flags.StringVar(&o.profile, "profile", "", "athlete's profile: a name or a .toml file")
	flags.Float64Var(&o.stepLength, "step-length", 0, "step length in m, like 1.05")
	flags.Float64Var(&o.cadence, "cadence", 0, "cadence assumed where there is no target, in steps/min")
	flags.BoolVar(&o.json, "json", false, "print JSON Lines")
	rest, err := parseFlags(flags, args, 1, 2)
	if err != nil {
		return err
	}
	want := map[string]int{"list": 1, "example": 2, "check": 2}[rest[0]]
	switch {
	case want == 0:
		return usagef("%q is no part of session; want check, list or example; see 'steadfoot session --help'", rest[0])
	case len(rest) > want:
		return usagef("unexpected argument %q; see 'steadfoot session --help'", rest[want])
	case len(rest) < want:
		return usagef("session %s wants one more argument; see 'steadfoot session --help'", rest[0])
	}
	switch rest[0] {
	case "list":
		return listSessions(std.out, o.json)
	case "example":
		data, err := exampleSession(rest[1])
		if err != nil {
			return err
		}
		_, err = std.out.Write(data)
		return err
	}
	return checkSession(std.out, rest[1], o, flags)
}

func listSessions(w io.Writer, asJSON bool) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, name := range sessions.Names() {
		p, err := findSession(name)
		if err != nil {
			return err
		}
		if asJSON {
			if err := writeJSON(w, struct {
				Kind    string `json:"kind"`
				Example string `json:"example"`
				Name    string `json:"name"`
				Note    string `json:"note"`
				Parts   int    `json:"parts"`
			}{"session", name, p.Name, p.Note, len(p.Parts)}); err != nil {
				return err
			}
			continue
		}
		fmt.Fprintf(tw, "%s\t%s\n", name, p.Name)
	}
	return tw.Flush()
}

// exampleSession is the text of a built-in example.
func exampleSession(name string) ([]byte, error) {
	data, err := fs.ReadFile(sessions.Files, name+".toml")
	if err != nil {
		return nil, fmt.Errorf("no example session %q; there are: %s", oneLine(name), strings.Join(sessions.Names(), ", "))
	}
	return data, nil
}

// maxSession is far more than any session needs, in bytes.
const maxSession = 256 << 10

// findSession reads a session by its path, or a built-in example by its name.
func findSession(arg string) (*profiles.Plan, error) {
	name, data, err := sessionText(arg)
	if err != nil {
		return nil, err
	}
	return profiles.ParsePlan(name, data)
}

// sessionText is the text of a session and the name to call it by in errors.
func sessionText(arg string) (name string, data []byte, err error) {
	if !profiles.IsPath(arg) {
		if _, err := os.Stat(arg); err != nil {
			data, err := exampleSession(arg)
			if err != nil {
				return "", nil, fmt.Errorf("%w; or give the path of a .toml file", err)
			}
			return arg + ".toml", data, nil
		}
	}
	data, err = readAtMost(arg, maxSession, "session")
	return arg, data, err
}

// checkSession works a session out for a walker and prints it.
func checkSession(w io.Writer, arg string, o sessionOptions, flags *pflag.FlagSet) error {
	var curve profiles.Curve
	if o.profile != "" {
		a, err := findProfile(o.profile)
		if err != nil {
			return err
		}
		curve = a.StepLength
	}
	if flags.Changed("step-length") {
		curve = profiles.Constant(o.stepLength)
		if err := curve.Check(); err != nil {
			return usagef("--step-length: %v", err)
		}
	}
	if flags.Changed("cadence") && !(o.cadence >= 60 && o.cadence <= 300) {
		return usagef("--cadence %v: want 60 to 300 steps/min; count both feet", o.cadence)
	}
	p, err := findSession(arg)
	if err != nil {
		return err
	}
	splits, sum := coach.PlanSplits(p, curve, o.cadence)
	if o.json {
		return printSessionJSON(w, p, splits, sum, coach.PlanNotes(p, curve))
	}
	return errors.Join(printSession(w, p, splits, sum), printNotes(w, coach.PlanNotes(p, curve)))
}
