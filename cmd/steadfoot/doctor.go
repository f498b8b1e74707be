package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"sync/atomic"
	"time"
)

const doctorHelp = `
Looks at all that a walk needs, and says what is wrong and what mends it: the
sound devices (two seconds are heard and nothing is played), the rights to them,
the store of the walks, the profiles, the terminal, the battery, the clock, and
whether this machine hears steps faster than they are walked.

Each line begins with ok, warning (a walk is possible) or fault (it is not, or is
not kept). Nothing is changed. The exit status is 0 without a fault and 1 with one.

Examples:
  steadfoot doctor
  steadfoot doctor --profile mira-tal --store /media/stick/log.db
  steadfoot doctor --json`

// verdict is how bad a finding is.
type verdict string

const (
	isOK      verdict = "ok"
	isWarning verdict = "warning" // a walk is possible
	isFault   verdict = "fault"   // a walk is not possible, or not kept
)

// finding is one line of what the doctor has to say.
type finding struct {
	Kind    string  `json:"kind"` // "check"
	Check   string  `json:"check"`
	Verdict verdict `json:"verdict"`
	Found   string  `json:"found"`
	Mend    string  `json:"mend,omitempty"` // what to do; never empty unless all is well
}

func okay(format string, a ...any) finding {
	return finding{Verdict: isOK, Found: fmt.Sprintf(format, a...)}
}

func warn(mend, format string, a ...any) finding {
	return finding{Verdict: isWarning, Mend: mend, Found: fmt.Sprintf(format, a...)}
}

func fault(mend, format string, a ...any) finding {
	return finding{Verdict: isFault, Mend: mend, Found: fmt.Sprintf(format, a...)}
}

// checkup is what the checks are given.
type checkup struct {
	profile, store string // as the flags say
	std            stdio
	output         atomic.Value // name of the output, a string, once the sound has been tried
}

// checks are made in this order. Each may find several things, also under names
// of their own.
var checks = []struct {
	name string
	run  func(context.Context, *checkup) []finding
}{
	{"sound", checkSound},
	{"access", checkAccess},
	{"store", checkStore},
	{"profile", checkProfiles},
	{"terminal", checkTerminal},
	{"speed", checkSpeed},
	{"battery", checkBattery},
	{"clock", checkClock},
	{"helpers", checkHelpers},
}

// checkLimit is how long one check may take: longer than a sound process that
// does not answer and is ended.
const checkLimit = 40 * time.Second

func runDoctor(ctx context.Context, std stdio, args []string) error {
	c := &checkup{std: std}
	fs := newFlags(std, "doctor", "doctor [flags]", doctorHelp)
	fs.StringVar(&c.profile, "profile", "", "the one profile to look at: a name or a .toml file (default all)")
	fs.StringVar(&c.store, "store", "", "file the walks are kept in")
	asJSON := fs.Bool("json", false, "print JSON Lines, one finding a line")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	say := sayFinding
	if *asJSON {
		say = func(w io.Writer, f finding) error { return json.NewEncoder(w).Encode(f) }
	}
	count := map[verdict]int{}
	for _, check := range checks {
		for _, f := range within(ctx, checkLimit, check.run, c) {
			f.Kind, f.Found = "check", oneLine(f.Found)
			if f.Check == "" {
				f.Check = check.name
			}
			count[f.Verdict]++
			if err := say(std.out, f); err != nil {
				return err
			}
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
	if n := count[isFault]; n > 0 {
		return fmt.Errorf("%s found", counted(n, "fault"))
	}
	if !*asJSON {
		_, err := fmt.Fprintf(std.out, "\nNo fault, %s.\n", counted(count[isWarning], "warning"))
		return err
	}
	return nil
}

// sayFinding prints a finding for people.
func sayFinding(w io.Writer, f finding) error {
	_, err := fmt.Fprintf(w, "%-8s %-11s %s\n", f.Verdict, f.Check, f.Found)
	if err == nil && f.Mend != "" {
		_, err = fmt.Fprintf(w, "%20s to mend: %s\n", "", f.Mend)
	}
	return err
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// within makes one check. One that gives no answer, as on a network drive that is
// gone, is left behind.
func within(ctx context.Context, limit time.Duration, run func(context.Context, *checkup) []finding, c *checkup) []finding {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	found := make(chan []finding, 1)
	go func() { found <- run(ctx, c) }()
	select {
	case f := <-found:
		return f
	case <-ctx.Done():
	}
	select {
	case f := <-found:
		return f
	case <-time.After(limit / 10): // for what ends with ctx
		return []finding{fault("restart the device, the drive or the server it waits for, and run it again", "no answer within %v", limit)}
	}
}
