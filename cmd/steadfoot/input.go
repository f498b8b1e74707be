package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"os"

	"github.com/spf13/pflag"

	"steadfoot/audio"
	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/rsc"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// inputOptions says what an input itself may not.
type inputOptions struct {
	unit     string // of a sensor's ax, ay, az: "mps2", "g" or ""
	rscUnit  string // of a foot pod's cadence: "steps" or "strides"
	rate     int    // raw PCM at this rate in Hz; 0: the input has a header
	channels int
	format   string
}

// addInputFlags gives a command the flags of inputOptions.
func addInputFlags(fs *pflag.FlagSet, o *inputOptions) {
	fs.StringVar(&o.unit, "unit", "", "unit of a sensor's ax, ay, az where its header names none: mps2 or g")
	fs.StringVar(&o.rscUnit, "rsc-unit", string(rsc.Steps), "what a foot pod counts as cadence: steps or strides")
	fs.IntVar(&o.rate, "rate", 0, "the input is raw PCM without a header, at this sample rate in Hz")
	fs.IntVar(&o.channels, "channels", 1, "channels of raw PCM")
	fs.StringVar(&o.format, "format", string(audio.S16), "samples of raw PCM: u8, s16le, s24le, s32le, f32le or f64le")
}

// check finds wrong use before anything is opened.
func (o *inputOptions) check(fs *pflag.FlagSet) error {
	if o.rate == 0 && (fs.Changed("rate") || fs.Changed("channels") || fs.Changed("format")) {
		return usagef("raw PCM needs its sample rate: --rate 48000, for instance")
	}
	if o.rate != 0 {
		if _, err := audio.NewPCM("", nil, o.rate, o.channels, audio.Format(o.format)); err != nil {
			return usagef("%v", err)
		}
	}
	if o.unit != "" {
		if _, err := sensor.ParseUnit(o.unit); err != nil {
			return usagef("--unit: %v", err)
		}
	}
	if _, err := rsc.ParseUnit(o.rscUnit); err != nil {
		return usagef("--rsc-unit: %v", err)
	}
	return nil
}

// input is where a walk is heard from: exactly one of sound, motion, pod and live
// is set.
type input struct {
	sound  *audio.File
	motion *sensor.Reader
	pod    *podInput
	live   *liveInput
	felt   *feeler   // a sensor beside the sound; may be nil
	file   io.Closer // the file under motion or pod, or the connection of live; may be nil
}

// openInput opens the file of that name, or standard input for "-", and finds
// out by its first bytes whether it is a sound or a sensor stream. Reading from
// anything but a plain file ends with ctx's error when ctx is done.
func openInput(ctx context.Context, std stdio, name string, o inputOptions) (in *input, err error) {
	log.SetOutput(io.Discard) // the FLAC decoder logs a line a frame at some rates
	if name == "-" {
		in, err = openStream(ctx, std.in, "standard input", o)
	} else {
		in, err = openFile(ctx, name, o)
	}
	if errors.Is(err, audio.ErrText) {
		err = fmt.Errorf("%w; a sensor stream starts with a header such as t,ax,ay,az or t,rsc", err)
	}
	if name == "-" && (errors.Is(err, audio.ErrText) || errors.Is(err, audio.ErrUnknown)) {
		err = fmt.Errorf("%w (raw PCM needs --rate)", err)
	}
	return in, err
}

// openFile opens what has a name.
func openFile(ctx context.Context, name string, o inputOptions) (*input, error) {
	f, err := openOrLeave(ctx, name)
	if err != nil {
		return nil, err
	}
	st, err := f.Stat()
	if err != nil || st.IsDir() || st.Mode().IsRegular() && o.rate == 0 && !looksLikeSensor(f) {
		f.Close()
		return soundInput(audio.Open(name))
	}
	in, err := openStream(ctx, f, name, o)
	if err != nil {
		f.Close()
		return nil, err
	}
	in.file = f
	return in, nil
}

func soundInput(s *audio.File, err error) (*input, error) {
	if err != nil {
		return nil, err
	}
	return &input{sound: s}, nil
}

// looksLikeSensor looks at the start of f and goes back to it.
func looksLikeSensor(f *os.File) bool {
	var head [64]byte
	n, _ := io.ReadFull(f, head[:])
	_, err := f.Seek(0, io.SeekStart)
	return err == nil && looksLikeRows(head[:n])
}

// openStream opens what can be read only once.
func openStream(ctx context.Context, r io.Reader, name string, o inputOptions) (*input, error) {
	r = &interruptible{ctx: ctx, r: r}
	if o.rate != 0 {
		return soundInput(audio.NewPCM(name, r, o.rate, o.channels, audio.Format(o.format)))
	}
	br := bufio.NewReaderSize(r, longestHead)
	head, _ := br.Peek(12) // no more than the shortest header, for a live sensor
	if looksLikeRows(head) {
		if rsc.Looks(firstLine(br)) {
			return openPod(name, br, o)
		}
		m, err := sensor.NewReader(name, br, sensor.Options{Unit: sensor.Unit(o.unit)})
		if err != nil {
			return nil, err
		}
		return &input{motion: m}, nil
	}
	return soundInput(audio.NewReader(name, br))
}

// ear joins the input to the detector that fits it; first names the first foot
// of a stretch.
func (in *input) ear(first detect.Side) (live.Ear, error) {
	if in.live != nil {
		return in.live.listen(nil, first)
	}
	if in.pod != nil {
		return in.pod.ear, nil
	}
	if in.motion != nil {
		return live.NewMotionEar(in.motion, first)
	}
	e, err := live.NewJointEar(in.sound, in.felt.rows(), first)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", in.sound.Name(), err)
	}
	return e, nil
}

// warnings tells what was wrong with the input; ask at its end.
func (in *input) warnings() []string {
	if in.live != nil {
		return in.live.warnings()
	}
	if in.pod != nil {
		return in.pod.ear.Warnings()
	}
	if in.motion != nil {
		return in.motion.Warnings()
	}
	all := in.sound.Warnings()
	if in.felt != nil {
		all = append(all, in.felt.Warnings()...)
	}
	return all
}

// Close frees what the input holds.
func (in *input) Close() error {
	if in.sound != nil {
		in.sound.Close()
	}
	if in.felt != nil {
		in.felt.Close()
	}
	if in.file != nil {
		return in.file.Close()
	}
	return nil
}
