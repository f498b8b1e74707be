package main

import (
	"context"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// openSteps opens what steps are looked for in, and the sensor beside it, if any.
func openSteps(ctx context.Context, std stdio, name, beside string, o inputOptions, first detect.Side) (*input, live.Ear, error) {
	in, err := openStepsInput(ctx, std, name, o)
	if err != nil {
		return nil, nil, err
	}
	if err := in.besides(ctx, std, beside, o); err != nil {
		in.Close()
		return nil, nil, err
	}
	ear, err := in.ear(first)
	if err != nil {
		in.Close()
		return nil, nil, err
	}
	return in, ear, nil
}

func openStepsInput(ctx context.Context, std stdio, name string, o inputOptions) (*input, error) {
	switch {
	case isPod(name):
		return nil, usagef("%s: a foot pod tells no single steps; 'steadfoot walk --in %s' takes its cadence", name, name)
	case isLive(name):
		return openLive(ctx, name, o)
	}
	return openInput(ctx, std, name, o)
}

// besides opens the recording of a sensor that was worn meanwhile.
func (in *input) besides(ctx context.Context, std stdio, name string, o inputOptions) (err error) {
	switch {
	case name == "":
		return nil
	case in.sound == nil:
		return usagef("--sensor: there is no sound to join it with")
	case isLive(name) || name == "-":
		return usagef("--sensor %s: want a file with the rows that were recorded beside the sound", name)
	}
	in.felt, err = openFeeler(ctx, std, name, o, fastFile)
	return err
}
