package device_test

import (
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/soundprocess"
)

// The test binary is its own sound process: with real devices when its first
// argument is "sound-process", else with a made-up one that fails as named.
func TestMain(m *testing.M) {
	if len(os.Args) < 2 || os.Args[1][0] == '-' {
		// Under the race detector each process would wait a second at its end.
		os.Setenv("GORACE", "atexit_sleep_ms=0")
		os.Exit(m.Run())
	}
	if err := serve(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func serve(args []string) error {
	clock := monotonic()
	switch args[0] {
	case "sound-process":
		return soundprocess.Serve(os.Stdin, os.Stdout, clock)
	case "fake":
		return engine.Serve(os.Stdin, os.Stdout, &fake{manner: args[1], clock: clock}, clock)
	}
	return errors.New("unknown test process")
}

func monotonic() func() time.Duration {
	start := time.Now()
	return func() time.Duration { return time.Since(start) }
}
