// Package engine is the sound process without the sound library: the callback,
// the rings around it, the timeline, and the talk with the walk's process.
// What opens a real device is a [Backend], so tests run the rest on a made-up
// one.
package engine

import (
	"sync/atomic"
	"time"

	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/wire"
)

// Call is what is known of one call of the device.
type Call struct {
	// The device's own times; 0 is unknown.
	ADC, Now, DAC time.Duration

	// What follows is of a Backend that takes the device's calls by itself and
	// passes them on later; else it is all 0.

	// Begun is when the device called, on the engine's clock, and Took how long
	// that was.
	Begun, Took time.Duration
	// Skipped counts the frames of calls before this one that are not passed on.
	Skipped int64
	// Played says that the Backend has played what [Playout] holds for this call,
	// of that many frames; then out is empty.
	Played bool
	Frames int
	// Ahead is how many frames after those of the call out will be played.
	Ahead int64
}

// Process is what a Backend calls for every period, from the device's thread or
// soon afterwards. in is mono, out interleaved with the given number of channels;
// either is empty when that side is not open. Where the sides are two streams it
// is called for each alone, and may be from a thread each. It does not wait,
// allocate or fail.
type Process func(in, out []float32, channels int, c Call, flags uint32)

// Playout is what a Backend plays by itself where it has one stream: frame n of
// the device is for place n + Shift of Rendered. Frames are counted from when
// Running is 1, before that there is silence; those that are not there in time are
// added to Missing.
type Playout struct {
	Rendered *ring.Output
	Running  *atomic.Uint32
	Shift    *atomic.Int64
	Missing  *atomic.Int64
}

// Backend is a sound library. Each method may hang: the engine gives each a
// deadline and never calls another one after it has missed it.
type Backend interface {
	// Devices lists what there is.
	Devices() ([]wire.Device, error)
	// Open opens and starts one stream or two, as OpenReply.Streams tells, that
	// call p until Close. After an error nothing is open, and OpenReply.Streams is
	// how many were to be, or 0 where it did not come so far.
	Open(wire.OpenRequest, Process, Playout) (wire.OpenReply, error)
	// Close ends the stream and the library.
	Close() error
}

// Poller is a Backend that takes the device's calls by itself.
type Poller interface {
	// Poll passes on the calls that have come since. It is called by one goroutine
	// at a time.
	Poll()
	// PollEvery is after how many calls of the open device that is to be.
	PollEvery() int
}

// Clock is a monotonic clock with any origin.
type Clock func() time.Duration
