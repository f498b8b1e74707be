package main

import (
	"context"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// openSteps opens what steps are looked for in.
func openSteps(ctx context.Context, std stdio, name string, o inputOptions, first detect.Side) (*input, live.Ear, error) {
	in, err := openStepsInput(ctx, std, name, o)
	if err != nil {
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
