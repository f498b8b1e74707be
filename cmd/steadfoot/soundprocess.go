package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"
	"time"

	"steadfoot/audio/device/soundprocess"
)

// runSoundProcess is the process that owns the sound device. Ctrl-C reaches it
// too, but it ends only when the walk's process tells it to or is gone, so
// that the end of a walk is heard.
func runSoundProcess(_ context.Context, std stdio, _ []string) error {
	signal.Reset(syscall.SIGTERM)
	in, okIn := std.in.(*os.File)
	out, okOut := std.out.(*os.File)
	if !okIn || !okOut {
		return errors.New("this command is started by steadfoot itself and is of no use alone")
	}
	return soundprocess.Serve(in, out, monotonic())
}

// monotonic is a clock that starts now and never steps.
func monotonic() func() time.Duration {
	start := time.Now()
	return func() time.Duration { return time.Since(start) }
}
