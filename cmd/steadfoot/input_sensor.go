package main

import (
	"context"
	"io"
	"io/fs"
	"path/filepath"

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

// besideOf is what a sensor is worn beside of.
type besideOf uint8

const (
	liveSound besideOf = iota
	pacedFile          // a recorded sound that is gone through at real time
	fastFile           // or as fast as can be
)

// openFeeler opens what --sensor names: a live sensor, or the rows of a file, which
// must be on the clock of a recorded sound.
func openFeeler(ctx context.Context, std stdio, name string, o inputOptions, of besideOf) (*feeler, error) {
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
	case !st.Mode().IsRegular() && !st.IsDir() && of == fastFile:
		f.Close()
		return nil, usagef("--sensor %s: rows from a pipe come at real time; want a file", name)
	case isNamedPipe(name, st):
		return alive(intake.Pipe(f)), nil
	case !st.Mode().IsRegular() && !st.IsDir():
		return alive(intake.Read(name, f, f)), nil
	case of == liveSound:
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

// isNamedPipe tells whether another program may write to a pipe when the one that
// does has ended: a shell's <(command) is a pipe at /dev/fd, and no path leads to it.
func isNamedPipe(name string, st fs.FileInfo) bool {
	_, err := filepath.EvalSymlinks(name)
	return err == nil && st.Mode()&fs.ModeNamedPipe != 0
}
