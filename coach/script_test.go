package coach

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

var rewrite = flag.Bool("rewrite", false, "write what the coach does into the scripts; read the difference before keeping it")

// TestScripts plays each file of testdata/policy to a coach and compares what it
// answers. A file is blocks of commands, a line of dashes, what the coach
// answered to them, and an empty line. Commands:
//
//	set FIELD=VALUE...               settings, before anything else
//	mark T NAME [VALUE]              a mark
//	rhythm FROM TO STATE [CADENCE] [sd=X] [heard=X] [uneven=X]
//	                                 a rhythm event each 0.5 s, both ends included;
//	                                 CADENCE may be A..B, along a straight line
//	step T, gap T, fault T [CODE]    one such event
//	status                           prints the status
//	unsaid                           prints what was not said since the last time
//
// The settings are those of [Settings] and [Policy] by their JSON names, beat=on,
// mode=MODE, and course=on to see parts, targets and laps as well.
//
// Lines that start with # are for the reader.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("testdata/policy/*.txt")
	if err != nil || len(files) < 8 {
		t.Fatalf("%d scripts, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			old, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			now, err := runScript(string(old))
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Equal(old, []byte(now)) {
				return
			}
			if *rewrite {
				if err := os.WriteFile(file, []byte(now), 0o666); err != nil {
					t.Fatal(err)
				}
				return
			}
			t.Errorf("the coach now does:\n%s", now)
		})
	}
}

const dashes = "----"

// runScript returns the script with the answers that the coach gives now.
func runScript(script string) (string, error) {
	s := &scripted{set: Settings{Cadence: 192, Slow: 4, Quick: 4, Policy: DefaultPolicy()}}
	var out strings.Builder
	inAnswers := false
	for i, line := range strings.Split(strings.TrimRight(script, "\n"), "\n") {
		switch {
		case line == dashes:
			inAnswers = true
			fmt.Fprintf(&out, "%s\n%s", dashes, s.answers.String())
			s.answers.Reset()
		case line == "":
			inAnswers = false
			out.WriteByte('\n')
		case !inAnswers:
			if err := s.command(line); err != nil {
				return "", fmt.Errorf("line %d: %w", i+1, err)
			}
			out.WriteString(line + "\n")
		}
	}
	return out.String(), nil
}

type scripted struct {
	set     Settings
	coach   *Coach
	answers strings.Builder
	unsaid  int  // of these have been printed
	course  bool // parts, targets and laps are printed too
}

func (s *scripted) command(line string) error {
	word := strings.Fields(line)
	if word[0] == "#" {
		return nil
	}
	if word[0] == "set" {
		return s.settings(word[1:])
	}
	if s.coach == nil {
		c, err := New(s.set)
		if err != nil {
			return err
		}
		s.coach = c
	}
	if word[0] == "unsaid" {
		for _, u := range s.coach.Unsaid()[s.unsaid:] {
			fmt.Fprintf(&s.answers, "%.2f not said, %s: %s\n", u.T, u.Name, u.Reason)
		}
		s.unsaid = len(s.coach.Unsaid())
		return nil
	}
	if word[0] == "status" {
		st := s.coach.Status()
		fmt.Fprintf(&s.answers, "status: %v since %.2f, %.1f steps/min\n", st.State, st.Since, st.Cadence)
		return nil
	}
	if len(word) < 2 {
		return errors.New("time is missing")
	}
	t, err := strconv.ParseFloat(word[1], 64)
	if err != nil {
		return err
	}
	switch word[0] {
	case "mark":
		m := event.Mark{T: t}
		if value, err := strconv.ParseFloat(word[len(word)-1], 64); err == nil && len(word) > 3 {
			m.Value, word = value, word[:len(word)-1]
		}
		m.Name = strings.Join(word[2:], " ")
		s.handle(m)
	case "step":
		s.handle(event.Step{Step: detect.Step{T: t}})
	case "gap":
		s.handle(event.Gap{Gap: detect.Gap{T: t}})
	case "fault":
		s.handle(event.Fault{T: t, Code: strings.Join(word[2:], " ")})
	case "rhythm":
		return s.rhythm(t, word[2:])
	default:
		return fmt.Errorf("unknown command %q", word[0])
	}
	return nil
}

func (s *scripted) settings(words []string) error {
	p := &s.set.Policy
	fields := map[string]*float64{
		"cadence": &s.set.Cadence, "slow": &s.set.Slow, "quick": &s.set.Quick, "lead": &p.Lead,
		"span": &p.Span, "quiet": &p.Quiet, "min_gap": &p.MinGap, "max_gap": &p.MaxGap, "margin": &p.Margin, "lost": &p.Lost,
		"patience": &p.Patience, "turn": &p.Turn, "too_much": &p.TooMuch, "settle_gap": &p.SettleGap, "grace": &p.Grace, "hold": &p.Hold,
		"falling": &p.Falling, "fall_by": &p.FallBy, "fall_gap": &p.FallGap, "tell": &p.Tell,
		"uneven": &p.Uneven, "uneven_stay": &p.UnevenStay, "uneven_gap": &p.UnevenGap, "ahead": &s.set.Ahead,
	}
	for _, w := range words {
		key, value, _ := strings.Cut(w, "=")
		switch key {
		case "beat":
			s.set.Beat.On = value == "on"
			continue
		case "mode":
			s.set.Beat.On, s.set.Beat.Mode = true, BeatMode(strings.ReplaceAll(value, "-", " "))
			continue
		case "course":
			s.course = value == "on"
			continue
		}
		if key == "first_foot" {
			if err := s.set.FirstFoot.UnmarshalText([]byte(value)); err != nil {
				return err
			}
			continue
		}
		x, err := strconv.ParseFloat(value, 64)
		if err != nil || fields[key] == nil {
			return fmt.Errorf("cannot set %s", w)
		}
		*fields[key] = x
	}
	return nil
}

func (s *scripted) rhythm(from float64, words []string) error {
	to, err := strconv.ParseFloat(words[0], 64)
	if err != nil {
		return err
	}
	r := detect.Rhythm{CadenceSD: 0.4, Heard: 1}
	state, a, b := "", 0.0, 0.0
	for _, w := range words[1:] {
		first, last, ramp := strings.Cut(w, "..")
		x, errX := strconv.ParseFloat(first, 64)
		key, value, _ := strings.Cut(w, "=")
		switch {
		case errX == nil:
			a, b = x, x
			if ramp {
				b, err = strconv.ParseFloat(last, 64)
			}
		case key == "sd":
			r.CadenceSD, err = strconv.ParseFloat(value, 64)
		case key == "heard":
			r.Heard, err = strconv.ParseFloat(value, 64)
		case key == "uneven":
			r.Unevenness, err = strconv.ParseFloat(value, 64)
		default:
			state = strings.TrimSpace(state + " " + w)
		}
		if err != nil {
			return err
		}
	}
	if err := r.State.UnmarshalText([]byte(state)); err != nil {
		return err
	}
	for t := from; t <= to; t += 0.5 {
		r.T, r.Cadence = t, a
		if to > from {
			r.Cadence = a + (b-a)*(t-from)/(to-from)
		}
		s.handle(event.Rhythm{Rhythm: r})
	}
	return nil
}

func (s *scripted) handle(in event.Event) {
	for _, e := range s.coach.Handle(nil, in) {
		switch e := e.(type) {
		case event.Part, event.Target, event.Lap:
			if s.course {
				fmt.Fprintf(&s.answers, "%.2f %s\n", e.At(), words(e))
			}
		case event.Cue:
			name := e.Name
			if e.Value != 0 {
				name += fmt.Sprintf(" %v", e.Value)
			}
			fmt.Fprintf(&s.answers, "%.2f %s: %s\n", e.T, name, e.Reason)
		case event.Beat:
			if e.Period == 0 {
				fmt.Fprintf(&s.answers, "%.2f silence from %.2f\n", e.T, e.Start)
				continue
			}
			fmt.Fprintf(&s.answers, "%.2f beat from %.2f every %.4f, %v first", e.T, e.Start, e.Period, e.Side)
			if e.Level != 0 {
				fmt.Fprintf(&s.answers, ", %v dB", e.Level)
			}
			s.answers.WriteString("\n")
		}
	}
}
