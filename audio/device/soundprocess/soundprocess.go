// Package soundprocess is the process that owns the sound device. It is the
// only place in the project that uses C: PortAudio, which may block for ever,
// abort its process and print without being asked, all of which stays in here.
//
// The walk's process starts it through [steadfoot/audio/device] and talks to
// it over its standard input and output.
package soundprocess

import (
	"os"
	"runtime"
	"runtime/debug"
	"time"

	"steadfoot/audio/device/internal/engine"
	"steadfoot/audio/device/internal/pipe"
)

// Serve answers the process at the other end of in and out until that process
// ends, tells it to stop, or the device dies. clock is a monotonic clock.
// After Serve the caller must end the process at once: a call of the sound
// library may still be hanging.
//
// The library prints to the terminal; it must see the process's standard
// error as a place where that does no harm.
func Serve(in, out *os.File, clock func() time.Duration) error {
	// The process keeps a megabyte or two and makes no garbage while it runs,
	// so the collector is off unless something is badly wrong.
	debug.SetGCPercent(-1)
	debug.SetMemoryLimit(64 << 20)
	// The device's own thread runs no Go, and what does runs one after the other.
	runtime.GOMAXPROCS(1)
	out, err := claim(out)
	if err != nil {
		return err
	}
	return engine.Serve(pipe.Reader(polled(in)), pipe.Writer(polled(out)), newBackend(clock), clock)
}
