package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/race"
	"steadfoot/coach/units"
	"steadfoot/profiles"
)

const targetHelp = `
Works out what a race or a rep asks for: of pace, cadence and step length any two
give the third. With a distance it adds the splits, the steps, and what one
centimetre or one step a minute is worth over it; around the goal it shows the
pace of other cadences and step lengths.

A step is from one foot's heel contact to the other's, and a stride is two of
them; in race walking 'stride length' is often said of one step. Cadence counts
steps. A longer step in front of the body is no goal: what is gained is gained
behind it, and is the coach's to judge.

Examples:
  steadfoot target --pace 4:00 --cadence 200
  steadfoot target --distance 20km --time 1:20:00 --step-length 1.20
  steadfoot target --distance "half marathon" --time 1:45:00 --profile mira-tal
  steadfoot target --distance 10km --pace 4:45 --cadence 196 --split 1.5%
  steadfoot target --cadence 204 --step-length 1.08 --distance 35km --lane 2
  steadfoot target --distance 20km --time 1:30:00 --cadence 200 --csv splits.csv
  steadfoot target --pace 4:30 --profile mira-tal --picture plane.svg
  steadfoot target --distance 20km --time 1:24:00 --cadence 204 \
                   --raced "5km 20:55, 10km 41:52, 20km 1:23:49"`

// targetRequest is what the flags of target ask for.
type targetRequest struct {
	pace, time, distance, length string
	cadence                      float64
	profile, split, units        string
	every                        string
	lane                         int
	lap                          string
	json                         bool
	csv, picture, raced          string

	system units.System
	second float64 // the second half is quicker by this share
	step   float64 // of the table of splits, m
	passed []race.Passed
	goal   race.Goal
}

func runTarget(_ context.Context, std stdio, args []string) error {
	var o targetRequest
	fs := newFlags(std, "target", "target [flags]", targetHelp)
	fs.StringVar(&o.pace, "pace", "", "pace, like 4:00, 4:00/km or 6:26/mi")
	fs.Float64Var(&o.cadence, "cadence", 0, "cadence in steps/min")
	fs.StringVar(&o.length, "step-length", "", "step length, like 1.20m, 120cm or 3ft11in")
	fs.StringVar(&o.distance, "distance", "", "distance, like 400m, 20km, 13.1mi, half marathon or marathon")
	fs.StringVar(&o.time, "time", "", "time over the distance, like 1:20:00")
	fs.StringVar(&o.profile, "profile", "", "athlete's profile, for the walker's own step length")
	fs.StringVar(&o.split, "split", "even", "even, negative, or by how much the second half is quicker, like 1.5%")
	fs.StringVar(&o.every, "every", "", "length of a split: a distance, or lap (default: 1km, 1mi or lap, by the distance)")
	fs.IntVar(&o.lane, "lane", 1, "lane of a standard 400 m track, 1 to 9")
	fs.StringVar(&o.lap, "lap", "", "length of a lap elsewhere, like 1km")
	fs.StringVar(&o.raced, "raced", "", "times at the splits of a race, like '5km 20:55, 10km 41:52', to hold against the plan")
	fs.StringVar(&o.units, "units", "metric", "what is shown, and what a bare number means: metric or imperial")
	fs.BoolVar(&o.json, "json", false, "print one JSON object, in m, s, s/km and steps/min")
	fs.StringVar(&o.csv, "csv", "", "write the splits as CSV to this file (- for standard output)")
	fs.StringVar(&o.picture, "picture", "", "draw cadence against step length with lines of equal pace, to FILE.svg or FILE.png")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	if err := o.read(fs); err != nil {
		return err
	}
	return o.write(std)
}

// read turns the flags into a goal.
func (o *targetRequest) read(fs *pflag.FlagSet) error {
	var err error
	if o.system, err = units.ParseSystem(o.units); err != nil {
		return usagef("--units: %v", err)
	}
	if o.second, err = race.ParsePlan(o.split); err != nil {
		return usagef("--split: %v", err)
	}
	if o.raced != "" {
		if o.passed, err = race.ParsePassed(o.raced); err != nil {
			return usagef("--raced: %v", err)
		}
	}
	if o.csv == "-" && o.json {
		return usagef("--csv - and --json both write to standard output; give --csv a file")
	}
	distance, pace, err := o.readPace(fs)
	if err != nil {
		return err
	}
	length := 0.0
	if o.length != "" {
		if length, err = o.system.ParseLength(o.length); err != nil {
			return usagef("--step-length: %v", err)
		}
	}
	if fs.Changed("cadence") && !(o.cadence >= 60 && o.cadence <= 300) {
		return usagef("--cadence %v: want 60 to 300 steps/min; count both feet", o.cadence)
	}
	var own profiles.Curve
	if o.profile != "" {
		a, err := findProfile(o.profile)
		if err != nil {
			return err
		}
		own = a.StepLength
	}
	if o.goal, err = race.Solve(pace, o.cadence, length, own); err != nil {
		return usagef("%v", err)
	}
	o.goal.Distance = distance
	return o.readTrack(fs)
}

// readPace reads pace, distance and time, which are one thing in three words.
func (o *targetRequest) readPace(fs *pflag.FlagSet) (distance, pace float64, err error) {
	if o.distance != "" {
		if distance, err = units.ParseDistance(o.distance); err != nil {
			return 0, 0, usagef("--distance: %v", err)
		}
	}
	if o.pace != "" {
		if pace, err = o.system.ParsePace(o.pace); err != nil {
			return 0, 0, usagef("--pace: %v", err)
		}
	}
	switch {
	case o.time == "":
	case o.distance == "":
		return 0, 0, usagef("--time needs --distance, like --distance 20km")
	case o.pace != "":
		return 0, 0, usagef("--time and --pace: give one, the other follows from the distance")
	default:
		t, err := units.ParseTime(o.time)
		if err != nil {
			return 0, 0, usagef("--time: %v", err)
		}
		pace = t / distance * 1000
	}
	if distance == 0 {
		for _, name := range []string{"split", "every", "csv", "raced"} {
			if fs.Changed(name) {
				return 0, 0, usagef("--%s needs --distance, like --distance 20km", name)
			}
		}
	}
	return distance, pace, nil
}

// readTrack reads the lap and what the splits are to be.
func (o *targetRequest) readTrack(fs *pflag.FlagSet) (err error) {
	if fs.Changed("lane") && fs.Changed("lap") {
		return usagef("--lane and --lap: give one; a lane is one of a standard track")
	}
	if o.lap != "" {
		if o.goal.Lap, err = units.ParseDistance(o.lap); err != nil {
			return usagef("--lap: %v", err)
		}
	} else if o.goal.Lap, err = coach.LapLength(o.lane); err != nil {
		return usagef("--lane: %v", err)
	}
	switch o.every {
	case "lap":
		o.step = o.goal.Lap
	case "":
		o.step, _ = o.system.Long()
		if o.goal.Distance <= 5*o.step {
			o.step = o.goal.Lap
		}
	default:
		if o.step, err = units.ParseDistance(o.every); err != nil {
			return usagef("--every: %v", err)
		}
	}
	if o.goal.Distance > 0 {
		if _, err := o.goal.Splits(o.step, o.second); err != nil {
			return usagef("%v", err)
		}
	}
	return nil
}

// write gives what was asked for.
func (o *targetRequest) write(std stdio) error {
	if o.picture != "" {
		if err := o.draw(); err != nil {
			return err
		}
		fmt.Fprintf(std.err, "%s is drawn\n", o.picture)
	}
	if o.csv != "" {
		if err := o.writeCSV(std); err != nil {
			return err
		}
		if o.csv == "-" {
			return nil
		}
	}
	if o.json {
		return o.writeJSON(std.out)
	}
	return o.print(std.out)
}
