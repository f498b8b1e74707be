package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/audio"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/review/midi"
	"steadfoot/detect"
	"steadfoot/profiles"
)

const beatHelp = `
Makes the beat of a session, or of a cadence, into a file: sound for any player
(.wav), or a Standard MIDI File (.mid), so that a walker without the program can
train to it. The sound has the signals of the session too: countdown, start and
end of reps, the coach's reminders. The beat is steady, and the walk is taken to
go exactly as planned; parts by distance need a step length.

Nobody listens to the walker here, so nothing is said about the cadence.

Examples:
  steadfoot beat --cadence 192 --duration 20m --out beat.wav
  steadfoot beat --session tuesday.toml --profile mira-tal --out tuesday.wav
  steadfoot beat --session five-minutes --cadence 190 --step-length 1.05 --out five.mid`

// beatOptions are the flags of beat.
type beatOptions struct {
	walkOptions
	out  string
	free float64
	wait time.Duration
}

func runBeat(ctx context.Context, std stdio, args []string) error {
	o := beatOptions{walkOptions: walkOptions{command: "beat"}}
	fs := newFlags(std, "beat", "beat --out FILE [flags]", beatHelp)
	addTargetFlags(fs, &o.target)
	fs.StringVar(&o.session, "session", "", "session of reps: a .toml file, or the name of an example")
	fs.StringVar(&o.out, "out", "", "file to make: FILE.wav or FILE.mid")
	fs.DurationVar(&o.duration, "duration", 0, "how long the beat lasts without a session, like 20m")
	fs.Float64Var(&o.free, "free", 150, "cadence taken where the session leaves the walker free, in steps/min")
	fs.DurationVar(&o.wait, "ready", 2*time.Minute, "how long a part lasts that waits until somebody is ready")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	if err := o.check(fs); err != nil {
		return err
	}
	a, err := o.target.athlete(fs)
	if err != nil {
		return err
	}
	if err := o.readSession(std, &a); err != nil {
		return err
	}
	if err := o.openVoice(std, a); err != nil {
		return err
	}
	return o.make(ctx, std, a)
}

// longestBeat bounds what is made, s: a walk of 100 km at a stroll is shorter.
const longestBeat = 24 * 3600.0

func (o *beatOptions) check(fs *pflag.FlagSet) error {
	switch ext := strings.ToLower(filepath.Ext(o.out)); {
	case o.out == "":
		return usagef("--out is missing; give FILE.wav or FILE.mid")
	case ext != ".wav" && ext != ".mid" && ext != ".midi":
		return usagef("--out %q: want FILE.wav or FILE.mid", o.out)
	case o.session == "" && !(o.duration > 0 && o.duration.Seconds() <= longestBeat):
		return usagef("give --duration, like 20m, or --session")
	case o.session != "" && fs.Changed("duration"):
		return usagef("--session and --duration: give one; a session says how long it is")
	case !(o.free >= detect.Slowest && o.free <= detect.Fastest):
		return usagef("--free %v: want %v to %v steps/min", o.free, detect.Slowest, detect.Fastest)
	case !(o.wait > 0 && o.wait <= time.Hour):
		return usagef("--ready %v: want up to 1h", o.wait)
	}
	return nil
}

// aboutCadence are the cues that answer a walker.
var aboutCadence = map[string]bool{event.CueQuicken: true, event.CueEase: true, event.CueSettled: true, event.CueHold: true,
	event.CueFade: true, event.CueUneven: true, event.CueCadence: true, event.CueLost: true, event.CueBack: true}

// make walks the session and writes what is heard, or the beats.
func (o *beatOptions) make(ctx context.Context, std stdio, a profiles.Athlete) error {
	a.Beat.On, a.Beat.Mode, a.LatencyMS = true, profiles.Steady, 0
	for i := range planParts(o.plan) { // a beat that waits for a walker makes no sense here
		if b := &o.plan.Parts[i].Beat; *b != "" && *b != profiles.BeatOff {
			*b = profiles.Steady
		}
	}
	w, set, err := newWalk(o.walkOptions, a)
	if err != nil {
		return err
	}
	if err := o.tellSpans(w, &set); err != nil {
		return err
	}
	marks := make(chan event.Mark, 1)
	w.Ear = &live.Ideal{Coach: w.Coach, Free: o.free, Wait: o.wait.Seconds(), Skip: func() {
		select {
		case marks <- event.Mark{Name: event.MarkSkip}:
		default: // one is on its way
		}
	}}
	w.Marks, w.Silent, w.Log = marks, aboutCadence, nowhere{}
	if w.Length == 0 {
		w.Length = longestBeat
	}
	sound := strings.EqualFold(filepath.Ext(o.out), ".wav")
	var sink *audio.WAVSink
	if sound {
		if sink, err = audio.CreateWAV(o.out); err != nil {
			return err
		}
		w.Sink = sink
	}
	err = w.Run(ctx)
	if sink != nil {
		if cerr := sink.Close(); err == nil {
			err = cerr
		}
	}
	if err == nil {
		err = ctx.Err()
	}
	if err == nil && !sound {
		err = writeMIDI(o.out, o.title(), w.Coach.Beats(), w.Ear.Now())
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(std.out, "%s is made: %s.\n", o.out, clockTime(w.Ear.Now()))
	return err
}

func planParts(p *profiles.Plan) []profiles.PlanPart {
	if p == nil {
		return nil
	}
	return p.Parts
}

// title is the name of what is made.
func (o *beatOptions) title() string {
	if o.plan != nil {
		return o.plan.Name
	}
	return "beat"
}

// nowhere keeps no events.
type nowhere struct{}

func (nowhere) Append(event.Event) error { return nil }

// writeMIDI writes the beats of a map up to a time in s.
func writeMIDI(path, title string, m *coach.BeatMap, to float64) error {
	var beats []coach.Beat
	m.Between(0, to, func(b coach.Beat) { beats = append(beats, b) })
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := midi.Write(f, title, beats); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
