package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"steadfoot/audio/cue"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// targetOptions are the flags that say what to walk, and how it is played.
type targetOptions struct {
	profile    string
	cadence    float64
	pace       string
	stepLength float64
	band       string
	beat       string
	mode       string
	accent     int
	cues       string
	lines      string
	volume     float64
	latency    float64
	firstFoot  string
}

func addTargetFlags(fs *pflag.FlagSet, o *targetOptions) {
	fs.StringVar(&o.profile, "profile", "", "athlete's profile: a name or a .toml file")
	fs.Float64Var(&o.cadence, "cadence", 0, "target cadence in steps/min, 90 to 240")
	fs.StringVar(&o.pace, "pace", "", "target pace per km, like 5:10; needs a step length")
	fs.Float64Var(&o.stepLength, "step-length", 0, "step length in m, like 1.05")
	fs.StringVar(&o.band, "band", "", "how far off is still right: 4 (steps/min), 2%, or slow and quick side like 4,2 (default 4)")
	fs.StringVar(&o.beat, "beat", "", "steps that get a beat: both, left, right, fourth or off (default both)")
	fs.StringVar(&o.mode, "mode", "", "how the beat goes: steady, lead, follow or 'on demand' (default steady)")
	fs.IntVar(&o.accent, "accent", 0, "make every so many-th beat stand out, 2 to 16")
	fs.StringVar(&o.cues, "cues", "", "what cues sound like: tones, speech or lines (default speech)")
	fs.StringVar(&o.lines, "lines", "", "folder with the coach's own recordings, named by cue; see 'steadfoot cues'")
	fs.Float64Var(&o.volume, "volume", 0, "0 to 1 (default 0.3)")
	fs.Float64Var(&o.latency, "latency", 0, "delay of the sound on its way to the ear, ms")
	fs.StringVar(&o.firstFoot, "first-foot", "", "foot that a walk starts with: left or right")
}

// athlete is the profile with the flags laid over it.
func (o *targetOptions) athlete(flags *pflag.FlagSet) (profiles.Athlete, error) {
	a := profiles.Defaults()
	if o.profile != "" {
		var err error
		if a, err = findProfile(o.profile); err != nil {
			return a, err
		}
		if err := linesBeside(&a, o.profile); err != nil {
			return a, err
		}
	}
	if flags.Changed("cadence") && flags.Changed("pace") {
		return a, usagef("--cadence and --pace: give one, the other follows from the step length")
	}
	if flags.Changed("cadence") {
		if !(o.cadence >= detect.Slowest && o.cadence <= detect.Fastest) {
			return a, usagef("--cadence %v: want %v to %v steps/min", o.cadence, detect.Slowest, detect.Fastest)
		}
		a.Target = profiles.Target{Cadence: o.cadence}
	}
	if flags.Changed("pace") {
		p, err := profiles.ParsePace(o.pace)
		if err != nil {
			return a, usagef("--pace: %v", err)
		}
		a.Target = profiles.Target{Pace: p}
	}
	if flags.Changed("step-length") {
		a.StepLength = profiles.Constant(o.stepLength)
		if err := a.StepLength.Check(); err != nil {
			return a, usagef("--step-length: %v", err)
		}
	}
	if a.Target.Pace != 0 && len(a.StepLength) == 0 {
		return a, usagef("a target pace needs --step-length, like 1.05 (m)")
	}
	return a, o.sound(&a, flags)
}

// sound lays the flags about playing over the profile.
func (o *targetOptions) sound(a *profiles.Athlete, flags *pflag.FlagSet) error {
	if flags.Changed("band") {
		b, err := parseBand(o.band)
		if err != nil {
			return err
		}
		a.Band = b
	}
	if err := o.beats(&a.Beat, flags); err != nil {
		return err
	}
	if err := o.voice(&a.Cues, flags); err != nil {
		return err
	}
	if flags.Changed("volume") {
		if !(o.volume >= 0 && o.volume <= 1) {
			return usagef("--volume %v: want 0 to 1", o.volume)
		}
		a.Volume = o.volume
	}
	if flags.Changed("latency") {
		if !(o.latency >= 0 && o.latency <= 1000) {
			return usagef("--latency %v: want 0 to 1000 ms", o.latency)
		}
		a.LatencyMS = o.latency
	}
	switch o.firstFoot {
	case "":
	case "left", "right":
		a.FirstFoot = profiles.Foot(o.firstFoot)
	default:
		return usagef("--first-foot %q: want left or right", o.firstFoot)
	}
	return nil
}

// beats lays the flags about the beat over the profile.
func (o *targetOptions) beats(b *profiles.Beat, flags *pflag.FlagSet) error {
	switch o.beat {
	case "":
	case "off":
		b.On = false
	case "fourth":
		b.On, b.Foot, b.Every = true, profiles.Both, 4
	case string(profiles.Both), string(profiles.Left), string(profiles.Right):
		b.On, b.Foot, b.Every = true, profiles.Foot(o.beat), 1
	default:
		return usagef("--beat %q: want both, left, right, fourth or off", o.beat)
	}
	switch o.mode {
	case "":
	case profiles.Steady, profiles.Lead, profiles.Follow, profiles.Demand:
		b.Mode = o.mode
	default:
		return usagef("--mode %q: want steady, lead, follow or 'on demand'", o.mode)
	}
	if flags.Changed("accent") {
		if o.accent < 2 || o.accent > 16 {
			return usagef("--accent %d: want 2 to 16", o.accent)
		}
		b.Accent = o.accent
	}
	return nil
}

// voice lays the flags about the cues over the profile.
func (o *targetOptions) voice(c *profiles.Cues, flags *pflag.FlagSet) error {
	if o.lines != "" {
		c.Lines = o.lines
		if o.cues == "" {
			o.cues = cue.Lines.String()
		}
	}
	if o.cues != "" {
		if _, err := cue.ParseLayer(o.cues); err != nil {
			return usagef("--cues %q: want tones, speech or lines", o.cues)
		}
		c.Layer = o.cues
	}
	if c.Layer == cue.Lines.String() && c.Lines == "" {
		return usagef("--cues lines needs --lines FOLDER with recordings, or a profile that names one")
	}
	return nil
}

// linesBeside takes the folder of recordings that a profile names as one beside
// the profile.
func linesBeside(a *profiles.Athlete, profile string) error {
	if a.Cues.Lines == "" || filepath.IsAbs(a.Cues.Lines) {
		return nil
	}
	path, err := profilePath(profile)
	a.Cues.Lines = filepath.Join(filepath.Dir(path), a.Cues.Lines)
	return err
}

// parseBand reads "4" or "2%", the same on both sides, or "4,2": the slow side
// and the quick one.
func parseBand(s string) (profiles.Band, error) {
	num, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	slow, quick, two := strings.Cut(num, ",")
	if !two {
		quick = slow
	}
	b := profiles.Band{Percent: percent}
	var err1, err2 error
	b.Slow, err1 = strconv.ParseFloat(strings.TrimSpace(slow), 64)
	b.Quick, err2 = strconv.ParseFloat(strings.TrimSpace(quick), 64)
	if err1 != nil || err2 != nil || !(b.Slow > 0 && b.Slow <= 60 && b.Quick > 0 && b.Quick <= 60) {
		return profiles.Band{}, usagef("--band %q: want steps/min like 4, a share like 2%%, or the slow and the quick side like 4,2", s)
	}
	return b, nil
}

// findProfile reads a profile by its path, or by its name in the user's folder.
func findProfile(arg string) (profiles.Athlete, error) {
	if profiles.IsPath(arg) {
		data, err := readAtMost(arg, mostProfile, "profile")
		if err != nil {
			return profiles.Athlete{}, err
		}
		return profiles.Parse(arg, data)
	}
	dir, err := profileFolder()
	if err != nil {
		return profiles.Athlete{}, err
	}
	a, err := profiles.Find(os.DirFS(dir), arg)
	var bad *profiles.Error
	switch {
	case errors.As(err, &bad):
		bad.File = filepath.Join(dir, bad.File)
	case errors.Is(err, fs.ErrNotExist):
		return a, fmt.Errorf("no profile %q in %s; put %s.toml there, or give a path", arg, dir, arg)
	}
	return a, err
}

// profileFolder is where profiles are found by name.
func profileFolder() (string, error) {
	config, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for profiles: %w; give --profile a path", err)
	}
	return filepath.Join(config, filepath.FromSlash(profiles.Folder)), nil
}

// profilePath is the file of a profile that findProfile has found.
func profilePath(arg string) (string, error) {
	if profiles.IsPath(arg) {
		return arg, nil
	}
	dir, err := profileFolder()
	return filepath.Join(dir, arg+".toml"), err
}
