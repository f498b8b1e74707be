package main

import (
	"context"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/coach/measure"
	"steadfoot/coach/units"
)

const measureHelp = `
Measures a step length: steps over a known distance. The steps come from
  --steps N           a count by hand, both feet
  --steps N --speed V --time T    a count on a treadmill
  REC.wav             a recording; --from and --to are the moments at the line
  12, last            a stored walk: each lap between two lap marks is a pass
  --mic               the microphone, now: Enter at the first and the second cone
  --tap               a coach at the trackside: any key on each step seen, Enter
                      at the first and the second cone
  --taps FILE         the same, noted before: lines of seconds and step or cone

Counts, distances and marks are never exact; the result says how far to trust it.
Several passes at different speeds, in one go or over weeks in a profile, give
the walker's own line of step length against cadence. With --save they are added
to the profile, which then takes the step length from them unless it gives one.

A step is from one foot's heel contact to the other's, half of a stride; in race
walking 'stride length' is often said of one step. A longer step in front of the
body is no goal: what is gained is gained behind it.

Examples:
  steadfoot measure --steps 372 --distance 400m --time 1:56
  steadfoot measure --steps 195 --speed 12 --time 1:00
  steadfoot measure pass.wav --distance 100m --from 4.2 --to 31.9
  steadfoot measure last --lane 1 --profile mira-tal --save --note "track, dry"
  steadfoot measure --tap --distance 50m
  steadfoot measure --profile mira-tal       the line of all that was measured`

// measureOptions are the flags of measure.
type measureOptions struct {
	steps                int
	slips                float64
	distance, distanceSD string
	lane                 int
	speed                float64
	time                 string
	from, to             float64
	mic, tap             bool
	taps                 string
	profile, note        string
	save, json           bool
	store, units         string
	input                inputOptions

	system     units.System
	length, sd float64 // distance and its SD, m
}

func runMeasure(ctx context.Context, std stdio, args []string) error {
	var o measureOptions
	fs := newFlags(std, "measure", "measure [SOURCE...] [flags]", measureHelp)
	fs.IntVar(&o.steps, "steps", 0, "steps counted, both feet")
	fs.Float64Var(&o.slips, "slips", 0, "how many steps the count may be off by (standard deviation)")
	fs.StringVar(&o.distance, "distance", "", "distance of a pass, or of a lap, like 100m")
	fs.IntVar(&o.lane, "lane", 0, "the same, as one lap in a lane of a standard 400 m track, 1 to 9")
	fs.StringVar(&o.distanceSD, "distance-sd", "0", "how far the distance may be off (standard deviation), like 20cm")
	fs.Float64Var(&o.speed, "speed", 0, "speed of a treadmill in km/h, with --units imperial in mph")
	fs.StringVar(&o.time, "time", "", "time of the pass, like 1:56")
	fs.Float64Var(&o.from, "from", -1, "where in a recording the pass begins, s")
	fs.Float64Var(&o.to, "to", -1, "where it ends, s")
	fs.BoolVar(&o.mic, "mic", false, "hear the steps now")
	fs.BoolVar(&o.tap, "tap", false, "tap the steps along now")
	fs.StringVar(&o.taps, "taps", "", "file with taps noted before")
	fs.StringVar(&o.profile, "profile", "", "athlete's profile: a name or a .toml file")
	fs.BoolVar(&o.save, "save", false, "add the passes to the profile")
	fs.StringVar(&o.note, "note", "", "conditions to save with them: shoes, surface, weather")
	fs.StringVar(&o.store, "store", "", "file the walks are kept in")
	fs.StringVar(&o.units, "units", "metric", "what is shown, and what a bare number means: metric or imperial")
	fs.BoolVar(&o.json, "json", false, "print JSON Lines: each pass, then the line")
	addInputFlags(fs, &o.input)
	rest, err := parseFlags(fs, args, 0, 50)
	if err != nil {
		return err
	}
	if err := o.read(fs, rest); err != nil {
		return err
	}
	passes, err := o.gather(ctx, std, rest)
	if err != nil {
		return err
	}
	return o.report(std, passes, time.Now())
}

// read checks the flags and what they mean together.
func (o *measureOptions) read(fs *pflag.FlagSet, rest []string) (err error) {
	if o.system, err = units.ParseSystem(o.units); err != nil {
		return usagef("--units: %v", err)
	}
	if o.length, err = lapOf("distance", o.distance, o.lane); err != nil {
		return err
	}
	if o.sd, err = units.ParseSmall(o.distanceSD); err != nil {
		return usagef("--distance-sd: %v", err)
	}
	ways := 0
	for _, given := range []bool{o.steps != 0, o.mic, o.tap, o.taps != "", len(rest) > 0} {
		if given {
			ways++
		}
	}
	switch {
	case ways > 1:
		return usagef("steps can come from one of --steps, --mic, --tap, --taps and SOURCE at a time; save passes with --profile and --save to join them")
	case ways == 0 && o.profile == "":
		return usagef("say where the steps come from, like --steps 372 or pass.wav; see 'steadfoot measure --help'")
	case o.save && o.profile == "":
		return usagef("--save needs --profile: a name or a .toml file")
	case o.save && ways == 0:
		return usagef("--save: there is nothing new to save")
	case fs.Changed("speed") && (o.steps == 0 || o.time == "" || o.length > 0):
		return usagef("--speed goes with --steps and --time, which make the distance")
	case ways > 0 && o.length == 0 && o.speed == 0 && !(len(rest) > 0 && walksOnly(rest)):
		return usagef("the distance is missing; give --distance, like 100m, or --lane")
	}
	return o.input.check(fs)
}

// pass is a pass and where it came from.
type pass struct {
	measure.Pass
	source string
}

// gather measures the passes that were asked for.
func (o *measureOptions) gather(ctx context.Context, std stdio, rest []string) ([]pass, error) {
	one := func(p measure.Pass, source string, err error) ([]pass, error) {
		if err == nil {
			err = p.Check()
		}
		if err != nil {
			return nil, err
		}
		return []pass{{p, source}}, nil
	}
	switch {
	case o.steps != 0:
		p, err := o.counted()
		return one(p, "counted", err)
	case o.tap:
		p, err := o.tapNow(ctx, std)
		return one(p, "tapped", err)
	case o.taps != "":
		p, err := o.tapsNoted(std)
		return one(p, "tapped", err)
	case o.mic:
		p, err := o.hearNow(ctx, std)
		return one(p, "heard", err)
	}
	var all []pass
	for _, source := range rest {
		var some []pass
		var err error
		if isWalk(source) {
			some, err = o.walked(source)
		} else {
			var p measure.Pass
			p, err = o.recorded(ctx, std, source)
			some, err = one(p, source, err)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, some...)
	}
	return all, nil
}

// beltSD is how far a treadmill's speed is from what it shows, as a share, when
// nobody has measured it (common practice, no source).
const beltSD = 0.01

// counted is a count by hand, on the ground or on a belt.
func (o *measureOptions) counted() (measure.Pass, error) {
	t, err := 0.0, error(nil)
	if o.time != "" {
		if t, err = units.ParseTime(o.time); err != nil {
			return measure.Pass{}, usagef("--time: %v", err)
		}
	}
	if o.steps < 0 || !(o.slips >= 0) {
		return measure.Pass{}, usagef("--steps and --slips cannot be negative")
	}
	const watchSD = 0.2 // s, of a stopwatch in a hand (common practice, no source)
	if o.speed != 0 {
		long, _ := o.system.Long()
		v := o.speed * long / 3600
		if !(v >= 0.3 && v <= 7) {
			return measure.Pass{}, usagef("--speed %g: want a walk's speed, 1 to 25 km/h", o.speed)
		}
		return measure.Treadmill(v, beltSD*v, t, watchSD, o.steps, o.slips), nil
	}
	p := measure.Counted(o.length, o.sd, o.steps, o.slips)
	if t > 0 {
		p.Time, p.TimeSD = t, watchSD
	}
	return p, nil
}
