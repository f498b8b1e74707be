package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"

	"steadfoot/coach/group"
)

// lines does what the leader types, until the input ends or ctx is done. The end
// of the input, as of a program in the background, ends nothing.
func (l *leader) lines(ctx context.Context) {
	in := bufio.NewScanner(&interruptible{ctx: ctx, r: l.std.in})
	at := ""
	defer func() {
		if errors.Is(in.Err(), bufio.ErrTooLong) {
			l.show.say("A line was far too long; nothing more is taken from this input.")
		}
	}()
	for in.Scan() {
		line, err := parseLead(in.Text(), func(name string) ([]byte, error) {
			_, data, err := sessionText(name)
			return data, err
		})
		switch {
		case err != nil:
		case line.help:
			l.show.say(leadWords)
		case line.who:
			l.who()
		case line.over:
			if err = l.led.leadNow(ctx); err == nil {
				l.show.say("this hub leads now; the other one follows when it hears of it")
			}
		case line.cmd.Do != "":
			if line.cmd.Group == "" {
				line.cmd.Group = at
			}
			if line.cmd.Length == 0 {
				line.cmd.Length = l.o.length
			}
			err = l.hub.Command(ctx, line.cmd)
		case line.in != "" && !l.has(line.in):
			err = fmt.Errorf("there is no group %q; group %s makes it", line.in, line.in)
		}
		if err != nil {
			l.show.say(err.Error())
			continue
		}
		if line.in != "" {
			at = group.CleanName(line.in)
		}
	}
}

func (l *leader) has(name string) bool {
	for _, m := range l.led.source.Maps() {
		if m.Group == group.CleanName(name) {
			return true
		}
	}
	return false
}

// who lists the walkers.
func (l *leader) who() {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	all := append(l.hub.Walkers(), l.hub.Elsewhere()...)
	for _, x := range all {
		state := x.Last.Hears
		switch {
		case !x.Here:
			state = "away"
		case x.Last.Hears == group.HearsWalking && x.Last.N > 0:
			state = fmt.Sprintf("%.0f steps/min, %s", x.Last.Cadence, offWords(x.Last))
		case x.Last.Hears == group.HearsWalking:
			state = fmt.Sprintf("%.0f steps/min", x.Last.Cadence)
		}
		if x.Hub != "" {
			state += ", at " + x.Hub
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", x.Name, x.Group, state)
	}
	w.Flush() // to memory
	if len(all) == 1 {
		b.WriteString("1 walker")
	} else {
		fmt.Fprintf(&b, "%d walkers", len(all))
	}
	for _, line := range strings.Split(b.String(), "\n") {
		l.show.say(line)
	}
}

// offWords says how a walker's steps stand to the beat.
func offWords(s group.Status) string {
	switch {
	case s.R < 0.5:
		return "not on the beat"
	case s.Off < 0:
		return fmt.Sprintf("%.0f ms before the beat", -s.Off)
	}
	return fmt.Sprintf("%.0f ms after the beat", s.Off)
}
