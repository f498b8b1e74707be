package main

import (
	"context"
	"io"

	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/intake"
	"steadfoot/cmd/steadfoot/live"
)

// feeler is a sensor that is worn while a sound is heard.
type feeler struct {
	live.Feeler
	io.Closer
}

// rows gives the sensor to an ear; none is nil.
func (f *feeler) rows() live.Feeler {
	if f == nil {
		return nil
	}
	return f
}

// openFeeler opens what --sensor names: a live sensor, or the rows of a file, which
// must be on the clock of a recorded sound. With recorded false the sound is live.
func openFeeler(ctx context.Context, std stdio, name string, o inputOptions, recorded bool) (*feeler, error) {
	rows := sensor.Options{Unit: sensor.Unit(o.unit)}
	alive := func(lines *intake.Intake) *feeler { return &feeler{live.NewRows(lines, rows, true), lines} }
	switch {
	case isPod(name):
		return nil, usagef("--sensor %s: a foot pod tells no single steps to be joined with the sound; use it as --in", name)
	case name == "-":
		return alive(intake.Read("standard input", std.in, nil)), nil
	case intake.Looks(name):
		lines, err := intake.Open(name)
		if err != nil {
			return nil, err
		}
		return alive(lines), nil
	}
	f, err := openOrLeave(ctx, name)
	if err != nil {
		return nil, err
	}
	st, err := f.Stat()
	switch {
	case err != nil:
		f.Close()
		return nil, err
	case !st.Mode().IsRegular() && !st.IsDir():
		return alive(intake.Read(name, f, f)), nil
	case !recorded:
		f.Close()
		return nil, usagef("--sensor %s: a file's rows go with a sound file as --in; beside a microphone give serial:PORT, udp:PORT, - or a pipe", name)
	}
	kept, err := sensor.NewReader(name, f, rows)
	if err != nil {
		f.Close()
		return nil, err
	}
	return &feeler{live.NewKeptRows(kept), f}, nil
}
