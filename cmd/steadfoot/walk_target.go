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
	volume     float64
	latency    float64
	firstFoot  string
}

func addTargetFlags(fs *pflag.FlagSet, o *targetOptions) {
	fs.StringVar(&o.profile, "profile", "", "athlete's profile: a name or a .toml file")
	fs.Float64Var(&o.cadence, "cadence", 0, "target cadence in steps/min, 90 to 240")
	fs.StringVar(&o.pace, "pace", "", "target pace per km, like 5:10; needs a step length")
	fs.Float64Var(&o.stepLength, "step-length", 0, "step length in m, like 1.05")
	fs.StringVar(&o.band, "band", "", "how far off is still right: 4 (steps/min) or 2% (default 4)")
	fs.StringVar(&o.beat, "beat", "", "steps that get a beat: both, left, right or off (default both)")
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
	if a.Target == (profiles.Target{}) {
		return a, usagef("there is no target; give --cadence 192, or --pace 5:10 --step-length 1.05, or --profile")
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
	switch o.beat {
	case "":
	case "off":
		a.Beat.On = false
	case string(profiles.Both), string(profiles.Left), string(profiles.Right):
		a.Beat = profiles.Beat{On: true, Foot: profiles.Foot(o.beat)}
	default:
		return usagef("--beat %q: want both, left, right or off", o.beat)
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

// parseBand reads "4" or "2%", the same on both sides.
func parseBand(s string) (profiles.Band, error) {
	num, percent := strings.CutSuffix(strings.TrimSpace(s), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(num), 64)
	if err != nil || !(v > 0 && v <= 60) {
		return profiles.Band{}, usagef("--band %q: want steps/min like 4, or a share like 2%%", s)
	}
	return profiles.Band{Slow: v, Quick: v, Percent: percent}, nil
}

// findProfile reads a profile by its path, or by its name in the user's folder.
func findProfile(arg string) (profiles.Athlete, error) {
	if profiles.IsPath(arg) {
		data, err := os.ReadFile(arg)
		if err != nil {
			return profiles.Athlete{}, err
		}
		return profiles.Parse(arg, data)
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return profiles.Athlete{}, fmt.Errorf("no folder for profiles: %w; give --profile a path", err)
	}
	dir := filepath.Join(config, filepath.FromSlash(profiles.Folder))
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
