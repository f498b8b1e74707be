package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/audio/cue"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/cmd/steadfoot/power"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group/local"
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
  --in serial:PORT    an accelerometer's rows from a serial line, as CSV or JSON
                      Lines ('steadfoot steps --help'); PORT@9600 for its speed
  --in udp:PORT       the same as datagrams, from this machine; udp:0.0.0.0:PORT
                      from the whole network. One sender is listened to, the first
  --in pod            a foot pod by Bluetooth LE (ble:NAME or ble:ADDRESS for one;
                      'steadfoot devices --pods' lists them)
  --sensor ...        an accelerometer worn beside the microphone or sound file: as
                      serial:PORT, udp:PORT, - or a named pipe, or with a sound file
                      a file on its clock. Steps are found where either fails, and
                      told up to 0.8 s later than by ear alone
  --out earphones     the default output (earphones:NAME for another one)
  --out FILE.wav      what the walker would hear, as a file
  --out none          nothing is played

The beat (--mode) is steady at the target; or leads from where you are to it in
changes too small to notice; or follows your feet and takes them along; or is
silent until you need it, on demand. Cues (--cues) are speech-like syllables,
plain tones, or the coach's own recordings; 'steadfoot cues' lists them.

With --session a plan of reps is walked: 'steadfoot session' explains. On a
terminal a screen shows the walk; ? lists its keys: the lap at the line, pause,
skip, the target up and down, the beat louder, softer and off.

With --hands, as often as wanted, others may do the same:
  --hands PATH            a named pipe, made if need be: a script, a friend by ssh
  --hands unix:PATH       a socket, which answers each line with ok or an error
  --hands key:DEVICE      a headset's, remote's or keyboard's keys (Linux): next,
                          Enter and space are a lap, play and pause as they say,
                          volume keys for all sound
  --hands button:DEVICE   a button, whatever key it sends, is a lap (Linux)
  --hands clap            two claps of the hands, 1/4 to 1/2 s apart, are a lap: not
                          one and not three, beside the microphone, and loud
A DEVICE is one of /dev/input/by-id/ or /dev/input/event*; only a keyboard still
reaches other programs. To a pipe or socket, a line is one wish:
  lap [note]   skip   pause   resume   beat on   beat off   target +1   target -1

With --keep-sound what is heard is kept beside the store, so that the walk can be
listened to and measured again. Voices may be on it: 'steadfoot log sound' deletes
it alone.

Examples:
  steadfoot walk --cadence 192
  steadfoot walk --pace 5:10 --step-length 1.05 --label "8 x 1 km"
  steadfoot walk --profile mira-tal --mode lead
  steadfoot walk --profile mira-tal --session kilometres.toml
  steadfoot walk --cadence 190 --in rep3.wav --fast --out rep3-cues.wav --mix
  steadfoot walk --cadence 192 --sensor udp:9000
  steadfoot walk --cadence 192 --hands walk.pipe    and then: echo lap > walk.pipe
  steadfoot walk --cadence 192 --hands clap --hands button:/dev/input/event7`

const caution = `Before the first walk: keep one ear open near traffic and the volume low. Stop
with pain, dizziness or in great heat. Your coach, your doctor and the rules of
the place come first; only judges judge contact and knees, and this tool cannot.`

// walkOptions are the flags of walk.
type walkOptions struct {
	command   string // that was asked for: walk, or one that walks in its own way
	target    targetOptions
	in, out   string
	sensor    string
	input     inputOptions
	fast      bool
	mix       bool
	store     string
	label     string
	keepSound bool
	streams   int
	duration  time.Duration
	session   string
	lane      int
	lap       string
	plain     bool
	hands     []string

	party *party         // the group that is walked with; nil: none
	hand  handList       // of hands, but for claps
	plan  *profiles.Plan // of session
	voice *cue.Voice

	supplies fs.FS // where the batteries are told of; nil: where this system does
}

func runWalk(ctx context.Context, std stdio, args []string) error {
	o := walkOptions{command: "walk"}
	fs := newFlags(std, "walk", "walk [flags]", walkHelp)
	addTargetFlags(fs, &o.target)
	addWalkFlags(fs, &o)
	fs.BoolVar(&o.fast, "fast", false, "go through a file as fast as the machine can")
	fs.BoolVar(&o.mix, "mix", false, "mix the walk's own sound into FILE.wav")
	fs.StringVar(&o.session, "session", "", "session of reps to walk: a .toml file, or the name of an example")
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
	if err := o.readSession(std, &athlete); err != nil {
		return err
	}
	return walk(ctx, std, o, athlete)
}

// warn tells in one line that something is wrong or worth knowing.
func (o *walkOptions) warn(std stdio, format string, a ...any) {
	fmt.Fprintf(std.err, "steadfoot %s: %s\n", o.command, fmt.Sprintf(format, a...))
}

// addWalkFlags are the flags of every walk, alone or with a group.
func addWalkFlags(fs *pflag.FlagSet, o *walkOptions) {
	fs.StringVar(&o.in, "in", "mic", "what is heard: mic, mic:NAME, a file, -, serial:PORT, udp:PORT, pod or ble:NAME")
	fs.StringVar(&o.sensor, "sensor", "", "an accelerometer worn while a sound is heard: serial:PORT, udp:PORT, -, a pipe or a file")
	fs.StringVar(&o.out, "out", "earphones", "where it plays: earphones, earphones:NAME, FILE.wav or none")
	fs.IntVar(&o.streams, "streams", 0, "streams for microphone and earphones: 1 or 2; 0 is one for each device, and two where one that is for both keeps faltering")
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.BoolVar(&o.keepSound, "keep-sound", false, "keep what is heard as a sound file beside the store; voices may be on it")
	fs.StringVar(&o.label, "label", "", "a few words to find the walk by")
	fs.IntVar(&o.lane, "lane", 0, "lane of a standard 400 m track: what a lap mark stands for without a session")
	fs.StringVar(&o.lap, "lap", "", "length of a lap elsewhere, like 1km")
	fs.BoolVar(&o.plain, "plain", false, "tell the walk line by line instead of on a screen")
	fs.StringArrayVar(&o.hands, "hands", nil, "take marks from a named pipe (`PATH`), a socket (unix:PATH), keys (key:DEVICE), a button (button:DEVICE) or two claps (clap); may be given again")
	fs.DurationVar(&o.duration, "duration", 0, "end the walk after this long, like 20m")
}

// walk puts the parts together, walks, and shows what it came to.
func walk(ctx context.Context, std stdio, o walkOptions, a profiles.Athlete) (err error) {
	surviveClosedPipe()
	if err := o.openVoice(std, a); err != nil {
		return err
	}
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
	defer func() {
		if cerr := store.Close(); err == nil && cerr != nil { // a file that was removed meanwhile is put back
			err = errors.New(oneLine(cerr.Error()))
		}
	}()
	if !o.usesMic() && !o.usesEar() { // no device to wait for meanwhile
		o.voice.Ready()
	}
	gear, err := openGear(ctx, std, o, set.FirstFoot, w)
	if err != nil {
		return err
	}
	defer gear.close()
	if err := o.tellSpans(w, &set); err != nil {
		return err
	}
	if err := gear.waitForPod(o, w, &set); err != nil {
		return err
	}
	if err := o.party.joinIn(gear, w, &set); err != nil {
		return err
	}
	if err := o.checkSound(w); err != nil {
		return err
	}
	if err := o.hearClaps(w); err != nil {
		return err
	}
	if o.hand, err = openHandList(o.hands); err != nil {
		return err
	}
	defer o.hand.close()
	log, err := begin(store, o, gear, set)
	if err != nil {
		return err
	}
	kept := o.startSound(std, store, log, w)
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	shown := showWalk(std, o, w, set, log, firstWalk(store), a.Volume, cancel)
	defer shown() // a panic must not leave the terminal as it is
	o.party.watch(w)
	var battery *batteryWatch
	if !o.fast { // what a recording gives does not hang on the machine it is run on
		if o.supplies == nil {
			o.supplies = power.System()
		}
		battery = watchBattery(o.supplies, batteryEvery)
		defer battery.stop()
	}
	var logErr error
	w.Log = log
	w.Trouble = newSleepWatch(local.ThisMachine().Now, monotonic()).and(troubles(log, kept, battery))
	w.Ended = func() { logErr = log.End() } // a second Ctrl-C cuts off the end signal, not the log
	defer meter(gear, w)()
	err = w.Run(ctx)
	shown()
	if cerr := gear.close(); err == nil { // after an error, closing may only repeat it
		err = cerr
	}
	kept.end(std, o)
	gear.report(std, o, w.Player)
	reportDose(std.err, w.Dose)
	logErr = untilStored(ctx, std, o, log, logErr)
	err = errors.Join(err, logErr, reviewOne(std.out, store, log.ID(), reviewOptions{}))
	again := fmt.Sprintf("steadfoot review %d%s", log.ID(), storeFlag(o.store))
	fmt.Fprintf(std.out, "\nThe walk is number %d in %s; '%s' shows it again.\n", log.ID(), path, again)
	if err != nil {
		return errors.New(oneLine(strings.ReplaceAll(err.Error(), "\n", "; ")))
	}
	return nil
}

// firstWalk tells whether the store has no walk in it yet, but for the one that
// has just begun.
func firstWalk(store *logbook.Store) bool {
	known, err := store.Find(logbook.Filter{Limit: 2})
	return err == nil && len(known) <= 1
}

// showWalk has the walk seen, on a screen or line by line, and returns what ends
// that; it may be called twice.
func showWalk(std stdio, o walkOptions, w *live.Walk, set coach.Settings, log *logbook.Writer, first bool, volume float64, cancel context.CancelFunc) (end func()) {
	if screenWanted(std, o.fast, o.plain) {
		opt := screenOptions{label: o.label, volume: volume, keys: !o.readsStdin(), end: cancel}
		if first {
			opt.caution = caution
		}
		s := startScreen(std, opt, w.Coach, set, log)
		s.party, s.why = o.party, w.WhyDeaf
		w.Show, w.Marks, w.Wishes = s.show, s.marks, s.wishes
		ctx, stop := context.WithCancel(context.Background())
		o.hand.start(ctx, newReach(s.marks, s.wishes, s.lines, s.volume))
		return func() { stop(); s.end() }
	}
	if first {
		fmt.Fprintln(std.err, caution)
	}
	view := newView(std, w.Coach)
	ctx, stop := context.WithCancel(context.Background())
	marks, wishes := make(chan event.Mark, 16), make(chan func(*live.Walk), 16)
	w.Show, w.Marks, w.Wishes = view.show, marks, wishes
	lapKeys(ctx, std, o.readsStdin(), marks)
	o.hand.start(ctx, newReach(marks, wishes, view, func(steps int) bool {
		return louderBy(wishes, &volume, steps, func(w *live.Walk) {
			view.say(w.Ear.Now(), "volume", fmt.Sprintf("%.0f %%", 100*volume))
		})
	}))
	return func() { stop(); view.end() }
}

// reportDose tells how much the ears were given, where the user has said how
// loud the earbuds are.
func reportDose(w io.Writer, d *cue.Dose) {
	share, ok := d.Share()
	if !ok {
		return
	}
	fmt.Fprintf(w, "Sound of the beat and cues in your ears: about %.2g %% of a week's safe dose (ITU-T H.870; an estimate by the level in your profile, without any other sound).\n", 100*share)
}

const (
	playAhead       = 0.15 // s of sound made ahead of a live input: no pause of the program is heard
	playAheadOfPipe = 0.45 // a pipe brings its input in bursts
)

// begin enters the walk into the log.
func begin(store *logbook.Store, o walkOptions, g *gear, set coach.Settings) (*logbook.Writer, error) {
	settings, err := json.Marshal(set)
	if err != nil {
		return nil, err
	}
	plan := ""
	if o.plan != nil {
		plan = o.plan.Name
	}
	return store.Begin(logbook.Header{
		Started: time.Now(), Athlete: set.Athlete, Label: o.label, Plan: plan, Settings: settings,
		Input: g.inName, Output: g.outName, Version: version,
	})
}

// version goes into the header of each log.
const version = "0.1"
