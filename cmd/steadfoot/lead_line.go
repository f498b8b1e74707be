package main

import (
	"fmt"
	"strconv"
	"strings"

	"steadfoot/coach/group"
	"steadfoot/profiles"
)

const leadWords = "want target 192 (or target 5:10), +1, -1, session FILE, start, skip, pause, resume, stop, beat on, beat off, group NAME, in NAME, who, take over, or help"

// leadLine is one line that the leader typed.
type leadLine struct {
	cmd  group.Command
	in   string // the group that later lines are about
	who  bool   // wants the walkers listed
	over bool   // a spare is to lead now
	help bool
}

// parseLead reads a line; read brings the text of a session file.
func parseLead(line string, read func(string) ([]byte, error)) (l leadLine, err error) {
	line = printable(line)
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	word, arg := strings.ToLower(word), strings.ToLower(rest)
	switch {
	case word == "target" || word == "t":
		return l, l.target(rest)
	case word == "session" && rest != "":
		l.cmd.Do = group.DoSession
		data, err := read(rest)
		l.cmd.Session = string(data)
		return l, err
	case word == "group" && rest != "":
		l.cmd.Do, l.cmd.Group, l.in = group.DoGroup, rest, rest
		return l, nil
	case word == "in" && rest != "":
		l.in = rest
		return l, nil
	case word == "beat" && arg == "on":
		l.cmd.Do = group.DoBeatOn
		return l, nil
	case word == "beat" && arg == "off":
		l.cmd.Do = group.DoBeatOff
		return l, nil
	case word == "take" && arg == "over":
		l.over = true
		return l, nil
	case arg != "":
		return l, fmt.Errorf("%q is not known; %s", line, leadWords)
	}
	switch word {
	case "start":
		l.cmd.Do = group.DoStart
	case "skip", "ready", "next":
		l.cmd.Do = group.DoSkip
	case "pause":
		l.cmd.Do = group.DoPause
	case "resume":
		l.cmd.Do = group.DoResume
	case "stop":
		l.cmd.Do = group.DoStop
	case "who":
		l.who = true
	case "help", "?":
		l.help = true
	case "":
	default:
		if by, err := strconv.Atoi(word); err == nil && (word[0] == '+' || word[0] == '-') {
			l.cmd.Do, l.cmd.By = group.DoShift, float64(by)
			return l, nil
		}
		return l, fmt.Errorf("%q is not known; %s", line, leadWords)
	}
	return l, nil
}

// target reads a cadence, or a pace where there is a colon.
func (l *leadLine) target(s string) (err error) {
	l.cmd.Do = group.DoTarget
	if strings.Contains(s, ":") {
		l.cmd.Pace, err = profiles.ParsePace(s)
		return err
	}
	if l.cmd.Cadence, err = strconv.ParseFloat(s, 64); err != nil {
		return fmt.Errorf("target %q: want a cadence in steps/min like 192, or a pace like 5:10", s)
	}
	return nil
}
