package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"steadfoot/audio/device"
	"steadfoot/profiles"
)

const latencyHelp = `
Measures how long sound takes from the program to the ear: it plays chirps and
finds them in the microphone. Hold one earbud's outlet right at the microphone,
with neither in an ear, in a quiet place; or place the microphone by the
loudspeaker (each 34 cm of air between them adds 1 ms).

What is measured is the round trip: the way out to the ear and the way in through
the microphone, together. That is also what a walk wants that is heard by the same
microphone: it hears the feet late by the way in, so the beat must be early by
both. --profile NAME --save puts it into the profile as latency_ms.

For a walk whose steps come from a sensor or another microphone the way out alone
is wanted. No one microphone can tell it; take the way in off:
  --input-latency MS   when it is known
  --cable MS           when it is not: the round trip measured before with a cable
                       from the earphones' socket to the microphone's. The way in
                       is some part of that; half is taken, and the result says
                       between what it lies
What the driver says of its latency is printed as a hint and used for nothing.

Measure with the earbuds, the microphone and the computer of the walk. Earbuds
whose own microphone is in use often take another way, with another latency.

Examples:
  steadfoot latency
  steadfoot latency --out earphones:buds --profile mira-tal --save
  steadfoot latency --volume 0.5 --tries 10
  steadfoot latency --cable 21.3 --json`

// latencyOptions are the flags of latency.
type latencyOptions struct {
	in, out      string
	volume       float64
	tries        int
	input, cable float64 // ms; used when they are given
	hasInput     bool
	hasCable     bool
	profile      string
	save, json   bool

	stored float64 // latency of the profile, ms
}

const (
	leastTries = 3
	mostTries  = 20
)

func runLatency(ctx context.Context, std stdio, args []string) error {
	var o latencyOptions
	fs := newFlags(std, "latency", "latency [flags]", latencyHelp)
	fs.StringVar(&o.in, "in", "mic", "microphone: mic, or mic:NAME")
	fs.StringVar(&o.out, "out", "earphones", "earphones, or earphones:NAME")
	fs.Float64Var(&o.volume, "volume", 0.2, "0 to 1; 1 is 6 dB below full scale: never in the ear")
	fs.IntVar(&o.tries, "tries", 6, "chirps that count, 3 to 20")
	fs.Float64Var(&o.input, "input-latency", 0, "known latency of the microphone's side, ms")
	fs.Float64Var(&o.cable, "cable", 0, "round trip measured with a cable, ms")
	fs.StringVar(&o.profile, "profile", "", "athlete's profile: a name or a .toml file")
	fs.BoolVar(&o.save, "save", false, "put the result into the profile")
	fs.BoolVar(&o.json, "json", false, "print JSON Lines: each try, then the result")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	o.hasInput, o.hasCable = fs.Changed("input-latency"), fs.Changed("cable")
	if err := o.check(); err != nil {
		return err
	}
	if o.profile != "" {
		a, err := findProfile(o.profile)
		if err != nil {
			return err
		}
		o.stored = a.LatencyMS
	}
	d, err := device.Start(ctx, device.Options{Input: named(o.in), Output: named(o.out), Clock: monotonic()})
	if err != nil {
		return err
	}
	return errors.Join(o.run(ctx, std, d), d.Close())
}

// named is the NAME of "mic:NAME", "" when there is none.
func named(s string) string {
	_, name, _ := strings.Cut(s, ":")
	return name
}

func (o *latencyOptions) check() error {
	mic, _, _ := strings.Cut(o.in, ":")
	ear, _, _ := strings.Cut(o.out, ":")
	switch {
	case mic != "mic":
		return usagef("--in %q: want mic, or mic:NAME", o.in)
	case ear != "earphones":
		return usagef("--out %q: want earphones, or earphones:NAME", o.out)
	case !(o.volume > 0 && o.volume <= 1):
		return usagef("--volume %v: want more than 0, 1 at most", o.volume)
	case o.tries < leastTries || o.tries > mostTries:
		return usagef("--tries %d: want %d to %d", o.tries, leastTries, mostTries)
	case o.hasInput && o.hasCable:
		return usagef("--input-latency and --cable: give one, both tell the way in")
	case o.hasInput && !(o.input >= 0 && o.input <= 1000):
		return usagef("--input-latency %v: want 0 to 1000 ms", o.input)
	case o.hasCable && !(o.cable > 0 && o.cable <= 1000):
		return usagef("--cable %v: want more than 0, 1000 ms at most", o.cable)
	case o.save && o.profile == "":
		return usagef("--save needs the profile to save in: --profile NAME")
	}
	return nil
}

// run measures through d, tells the result and saves it.
func (o *latencyOptions) run(ctx context.Context, std stdio, d loop) error {
	chirps, seconds, err := newChirps(o.tries, o.volume)
	if err != nil {
		return err
	}
	fmt.Fprintf(std.err, "Hold one earbud to the microphone, and keep both out of your ears: %d chirps in %.0f s.\n", o.tries+1, seconds)
	heard, err := chirps.playThrough(d)
	if err != nil {
		if ctx.Err() != nil {
			return errors.New("stopped before the end; nothing was measured")
		}
		return err
	}
	tries := chirps.judge(heard)
	if err := o.refuse(tries, heard); err != nil {
		return err
	}
	r, err := o.result(tries, d.Stats())
	if err != nil {
		return err
	}
	if err := o.print(std.out, tries, r); err != nil {
		return err
	}
	if err := r.doubt(); err != nil {
		return err
	}
	if o.save {
		return o.saveTo(std, r.wanted())
	}
	return nil
}

// saveTo puts the latency into the profile, whose file is replaced whole or not
// at all.
func (o *latencyOptions) saveTo(std stdio, ms float64) error {
	path, err := profilePath(o.profile)
	if err != nil {
		return err
	}
	data, err := readAtMost(path, mostProfile, "profile")
	if err != nil {
		return err
	}
	ms = round(ms, 10)
	text, err := profiles.SetLatency(path, data, ms)
	if err != nil {
		return err
	}
	if err := replaceFile(path, text); err != nil {
		return err
	}
	fmt.Fprintf(std.err, "Saved in %s: latency_ms = %v, before %v.\n", path, ms, o.stored)
	return nil
}
