// Package engine is the sound process without the sound library: the callback,
// the rings around it, the timeline, and the talk with the walk's process.
// What opens a real device is a [Backend], so tests run the rest on a made-up
// one.
package engine

import (
	"time"

	"steadfoot/audio/device/internal/wire"
)

// Times are the device's own times of one callback; 0 is unknown.
type Times struct{ ADC, Now, DAC time.Duration }

// Process is what a Backend calls for every period from the device's thread.
// in is mono, out interleaved with the given number of channels; either is
// empty when that side is not open. Where the sides are two streams it is called
// for each alone, each from a thread of its own. It does not wait, allocate or
// fail.
type Process func(in, out []float32, channels int, t Times, flags uint32)

// Backend is a sound library. Each method may hang: the engine gives each a
// deadline and never calls another one after it has missed it.
type Backend interface {
	// Devices lists what there is.
	Devices() ([]wire.Device, error)
	// Open opens and starts one stream or two, as OpenReply.Streams tells, that
	// call p until Close. After an error nothing is open, and OpenReply.Streams is
	// how many were to be, or 0 where it did not come so far.
	Open(wire.OpenRequest, Process) (wire.OpenReply, error)
	// Close ends the stream and the library.
	Close() error
}

// Clock is a monotonic clock with any origin.
type Clock func() time.Duration
