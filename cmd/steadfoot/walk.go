package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"steadfoot/audio/cue"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
	"steadfoot/coach/logbook"
	"steadfoot/profiles"
)

const walkHelp = `
Coaches one walk: it listens to the footsteps, plays a beat at the target
cadence, says when the cadence has left the target band for some seconds and
when it is back, and logs all of it. Ctrl-C ends the walk; Enter marks a lap.

The target is a cadence, or a pace with a step length, or comes from an
athlete's profile: a TOML file given by its path, or by its name when it is in
steadfoot/profiles in the folder for a user's settings ($XDG_CONFIG_HOME, or
~/.config). Flags overrule the profile.

Input and output:
  --in mic            the default microphone (mic:NAME for another one)
  --in FILE           a sound file or sensor rows, at real time, or with --fast
  --in -              standard input: raw PCM (--rate), a sound, or sensor rows
  --out earphones     the default output (earphones:NAME for another one)
  --out FILE.wav      what the walker would hear, as a file
  --out none          nothing is played

A signal needs no words: two rising tones ask for a quicker step, two falling
ones for an easier one, a soft chord says that the cadence has settled.

Examples:
  steadfoot walk --cadence 192
  steadfoot walk --pace 5:10 --step-length 1.05 --label "8 x 1 km"
  steadfoot walk --profile mira-tal
  steadfoot walk --cadence 190 --in rep3.wav --fast --out rep3-cues.wav --mix`

const caution = `Before the first walk: keep one ear open near traffic and the volume low. Stop
with pain, dizziness or in great heat. Your coach, your doctor and the rules of
the place come first; only judges judge contact and knees, and this tool cannot.`

// walkOptions are the flags of walk.
type walkOptions struct {
	target   targetOptions
	in, out  string
	input    inputOptions
	fast     bool
	mix      bool
	store    string
	label    string
	duration time.Duration
}

func runWalk(ctx context.Context, std stdio, args []string) error {
	var o walkOptions
	fs := newFlags(std, "walk", "walk [flags]", walkHelp)
	addTargetFlags(fs, &o.target)
	fs.StringVar(&o.in, "in", "mic", "what is heard: mic, mic:NAME, a file, or -")
	fs.StringVar(&o.out, "out", "earphones", "where it plays: earphones, earphones:NAME, FILE.wav or none")
	fs.BoolVar(&o.fast, "fast", false, "go through a file as fast as the machine can")
	fs.BoolVar(&o.mix, "mix", false, "mix the walk's own sound into FILE.wav")
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.StringVar(&o.label, "label", "", "a few words to find the walk by")
	fs.DurationVar(&o.duration, "duration", 0, "end the walk after this long, like 20m")
	addInputFlags(fs, &o.input)
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	if err := o.check(fs.Changed("in")); err != nil {
		return err
	}
	if err := o.input.check(fs); err != nil {
		return err
	}
	athlete, err := o.target.athlete(fs)
	if err != nil {
		return err
	}
	return walk(ctx, std, o, athlete)
}

// walk puts the parts together, walks, and shows what it came to.
func walk(ctx context.Context, std stdio, o walkOptions, a profiles.Athlete) error {
	surviveClosedPipe()
	w, set, err := newWalk(o, a)
	if err != nil {
		return err
	}
	path, err := storePath(o.store)
	if err != nil {
		return err
	}
	store, err := logbook.Open(path)
	if err != nil {
		return err
	}
	defer store.Close()
	gear, err := openGear(ctx, std, o, set.FirstFoot, w)
	if err != nil {
		return err
	}
	defer gear.close()
	if err := gear.waitForPod(o, w, &set); err != nil {
		return err
	}
	if known, err := store.Sessions(); err == nil && len(known) == 0 {
		fmt.Fprintln(std.err, caution)
	}
	log, err := begin(store, o, gear, set)
	if err != nil {
		return err
	}
	view := newView(std, w.Coach, log)
	w.Log, w.Show, w.Marks = log, view.show, lapKeys(ctx, std, o.in)
	var logErr error
	w.Ended = func() { logErr = log.End() } // a second Ctrl-C cuts off the end signal, not the log
	err = w.Run(ctx)
	view.end()
	if cerr := gear.close(); err == nil { // after an error, closing may only repeat it
		err = cerr
	}
	gear.report(std, w.Player)
	err = errors.Join(err, logErr, reviewOne(std.out, store, log.ID(), reviewOptions{}))
	again := fmt.Sprintf("steadfoot review %d", log.ID())
	if o.store != "" {
		again += " --store " + o.store
	}
	fmt.Fprintf(std.out, "\nThe walk is number %d in %s; '%s' shows it again.\n", log.ID(), path, again)
	if err != nil {
		return errors.New(oneLine(strings.ReplaceAll(err.Error(), "\n", "; ")))
	}
	return nil
}

const (
	playAhead       = 0.1 // s of sound made ahead of a live input: no pause of the program is heard
	playAheadOfPipe = 0.4 // a pipe brings its input in bursts
)

// newWalk makes what does not depend on the machine.
func newWalk(o walkOptions, a profiles.Athlete) (*live.Walk, coach.Settings, error) {
	set, err := coach.For(a)
	if err != nil {
		return nil, set, err
	}
	w := &live.Walk{Length: o.duration.Seconds(), Latency: a.LatencyMS / 1000, Lead: playAhead}
	if o.in == "-" {
		w.Lead = playAheadOfPipe
		set.Policy.Lead += playAheadOfPipe - playAhead
	}
	if w.Coach, err = coach.New(set); err != nil {
		return nil, set, err
	}
	w.Player, err = cue.NewPlayer(cue.Options{Volume: a.Volume})
	return w, set, err
}

// begin enters the walk into the log.
func begin(store *logbook.Store, o walkOptions, g *gear, set coach.Settings) (*logbook.Writer, error) {
	settings, err := json.Marshal(set)
	if err != nil {
		return nil, err
	}
	return store.Begin(logbook.Header{
		Started: time.Now(), Athlete: set.Athlete, Label: o.label, Settings: settings,
		Input: g.inName, Output: g.outName, Version: version,
	})
}

// version goes into the header of each log.
const version = "0.1"
