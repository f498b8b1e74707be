package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

const stepsHelp = `
Finds every step in a recording: a sound file, the sound track of a video, or
the rows of an accelerometer. FILE - is standard input.

WAV, FLAC, MP3 and OGG Vorbis are read directly, anything else by ffmpeg where
it is installed. A sensor stream is CSV with a header, or JSON Lines with the
same names as keys; t is in seconds, rows may be irregular:
  t,ax,ay,az                    m/s², or as --unit says
  t_s,ax_mps2,ay_mps2,az_mps2   m/s²
  t_s,ax_g,ay_g,az_g            multiples of gravity
  t_s,mag_raw                   magnitude only, in any unit
  t,rsc                         packets of a foot pod in hex, as the Bluetooth
                                standard has them (RSC measurement): they give
                                a cadence, of steps or as --rsc-unit says, but
                                no single steps

Steps are written as they are found, then a summary; with --json, one event a
line and no summary. A step that could not be heard but must have happened is
"bridged": it is placed where the rhythm expects it. One microphone cannot tell
left from right: the first step of a stretch gets the name --first-foot says,
and the feet take turns from there. Warnings go to standard error.

What was played while the walk was recorded, clicks above all, may be in the
recording. Give it with --played, starting at the same time: its delay (up to
0.3 s), level and echoes are found, and it is taken out before steps are looked
for. What was found is told on standard error.

An accelerometer that was worn while the sound was recorded is joined with it by
--sensor: steps are then found where either fails. The times of its rows must be
those of the sound, to 0.2 s.

FILE may also be a live sensor, serial:PORT or udp:PORT, as in 'steadfoot walk
--help'.

Examples:
  steadfoot steps walk.wav
  steadfoot steps --json walk.mp4 > walk.jsonl
  steadfoot steps --picture belief.svg --from 60 --to 90 walk.wav
  steadfoot steps --unit g pocket.csv
  steadfoot steps --played cues.wav walk.wav
  steadfoot steps --sensor waist.csv walk.wav
  steadfoot steps serial:/dev/ttyUSB0
  arecord -f S16_LE -r 48000 -t raw | steadfoot steps --rate 48000 -`

// runSteps is the command "steps".
func runSteps(ctx context.Context, std stdio, args []string) error {
	fs := newFlags(std, "steps", "steps [flags] FILE", stepsHelp)
	asJSON := fs.Bool("json", false, "write JSON Lines: step, rhythm and gap events")
	first := fs.String("first-foot", "left", "name of the first foot of a stretch: left or right")
	track := fs.String("played", "", "sound file of what was played meanwhile, to be taken out")
	beside := fs.String("sensor", "", "file of an accelerometer's rows, worn while the sound was recorded")
	var o inputOptions
	addInputFlags(fs, &o)
	var pic pictureOptions
	pic.flags(fs)
	rest, err := parseFlags(fs, args, 1, 1)
	if err != nil {
		return err
	}
	var side detect.Side
	if err := side.UnmarshalText([]byte(*first)); err != nil || side == detect.Unknown {
		return usagef("--first-foot %q: want left or right", *first)
	}
	if err := o.check(fs); err != nil {
		return err
	}
	if err := pic.check(fs); err != nil {
		return err
	}
	in, ear, err := openSteps(ctx, std, rest[0], *beside, o, side)
	if err != nil {
		return err
	}
	defer in.Close()
	played, err := openPlayed(*track, in, ear)
	if err != nil {
		return err
	}
	defer played.end(std)
	out := bufio.NewWriter(std.out)
	var p printer = &tablePrinter{w: out}
	if *asJSON {
		p = &jsonPrinter{w: out}
	} else if in.pod != nil {
		p = &podPrinter{w: out, pod: in.pod}
	}
	if p, err = pic.watch(rest[0], ear, p); err != nil {
		return err
	}
	return findSteps(ctx, std, in, ear, p, out)
}

// printer writes the events of a recording.
type printer interface {
	print(e detect.Event) error
	end(heard float64) error // s of input
}

// findSteps hears the input to its end, or to that of ctx, and prints.
func findSteps(ctx context.Context, std stdio, in *input, ear live.Ear, p printer, out *bufio.Writer) error {
	bar := newProgress(std)
	var events []detect.Event
	var err error
	for err == nil {
		if ctx.Err() != nil {
			err = ctx.Err()
			break
		}
		events, err = ear.Next(events[:0])
		if perr := printAll(p, events, out); perr != nil {
			return perr
		}
		bar.show(in, ear.Now())
	}
	bar.clear()
	if perr := printAll(p, ear.Flush(events[:0]), out); perr != nil {
		return perr
	}
	for _, w := range in.warnings() {
		fmt.Fprintln(std.err, "steadfoot steps: warning:", w)
	}
	if err != io.EOF && !errors.Is(err, context.Canceled) {
		return err
	}
	if perr := p.end(ear.Now()); perr != nil {
		return perr
	}
	if perr := out.Flush(); perr != nil {
		return perr
	}
	if err != io.EOF {
		return fmt.Errorf("interrupted after %.1f s", ear.Now())
	}
	return nil
}

// printAll writes events through, so that a live walk is seen as it goes.
func printAll(p printer, events []detect.Event, out *bufio.Writer) error {
	for _, e := range events {
		if err := p.print(e); err != nil {
			return err
		}
	}
	if len(events) == 0 {
		return nil
	}
	return out.Flush()
}

// jsonPrinter writes one event a line.
type jsonPrinter struct {
	w   io.Writer
	buf []byte
}

func (p *jsonPrinter) print(e detect.Event) (err error) {
	if p.buf, err = event.AppendJSON(p.buf[:0], event.From(e)); err != nil {
		return err
	}
	_, err = p.w.Write(append(p.buf, '\n'))
	return err
}

func (p *jsonPrinter) end(float64) error { return nil }
