package main

import (
	"context"
	"fmt"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// openSteps opens what steps are looked for in, and the sensor beside it, if any.
func openSteps(ctx context.Context, std stdio, name, beside string, o inputOptions, first detect.Side) (*input, live.Ear, error) {
	in, err := openStepsInput(ctx, std, name, o)
	if err != nil {
		return nil, nil, err
	}
	ear, err := stepsEar(ctx, std, in, beside, o, first)
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

func stepsEar(ctx context.Context, std stdio, in *input, beside string, o inputOptions, first detect.Side) (live.Ear, error) {
	switch {
	case beside == "":
		return in.ear(first)
	case in.sound == nil:
		return nil, usagef("--sensor: there is no sound to join it with")
	case isLive(beside):
		return nil, usagef("--sensor %s: want a file with the rows that were recorded beside the sound", beside)
	}
	felt, err := openFeeler(ctx, std, beside, o)
	if err != nil {
		return nil, err
	}
	ear, err := live.NewJointEar(in.sound, felt, first)
	if err != nil {
		felt.close.Close()
		return nil, fmt.Errorf("%s: %w", in.sound.Name(), err)
	}
	in.felt = felt
	return ear, nil
}
