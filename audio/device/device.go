// Package device hears the microphone and plays to the earphones, both on one
// clock. [Start] gives a [Duplex], which is an audio.Source and an audio.Sink;
// [List] tells what devices there are.
//
// The sound library lives in another process, as it can hang, abort its
// process and fill the terminal. The walk's process starts its own program
// again with the hidden command "sound-process", talks to it over two pipes
// (internal/wire), watches it, and starts a new one when it hangs or dies:
//
//	device.Duplex  ──Open, Go, Output, Stop──▶  internal/engine ◀─callback─ soundprocess
//	(this process) ◀──Opened, Block, Failed───  (the sound process)         (PortAudio)
//
// # One clock
//
// Sample 0 is the first one the device takes after the first [Duplex.Read].
// Output sample i is handed to the device in the very callback that captures
// input sample i, so the loop reads a block and then writes output up to about
// 150 ms past the block's end. From the ear back to the microphone it takes
// the round trip more, see [Stats.RoundTrip]. What is written before the first
// Read waits and is played from sample 0.
//
// The clock counts lost samples. After a gap it is set right by the time that
// has passed, so block.Index / 48000 stays the session's time across gaps,
// hangs and restarts; audio.Block.Lost and Fault tell of them.
package device

import (
	"context"
	"errors"
	"fmt"
	"os"
	"time"

	"steadfoot/audio/device/internal/wire"
	"steadfoot/audio/device/timebase"
)

// Options say what to open. The zero value but for Clock opens the system's
// default microphone and earphones.
type Options struct {
	// Input and Output are part of the device's name or of "host: name", in
	// any case; the first match is taken. "" is the system's default.
	Input, Output string
	// NoInput leaves the microphone closed: Read then gives silence, block by
	// block at the pace of the earphones. NoOutput leaves the earphones closed:
	// Write then fails. At least one side must be open.
	NoInput, NoOutput bool
	// Frames is how many samples the device handles at once, 16 to 8192;
	// 0 is 512 (10.7 ms). Fewer means less delay and more risk of gaps; with
	// 256 and both sides open PortAudio was measured to spin on ALSA's PulseAudio
	// device: 0.8 s of processor time in 4 s, against 0.1 s with 512.
	Frames int
	// Streams is how many streams carry microphone and earphones: 1, or 2, one on
	// the clock of each device. 0 is as many as there are devices; where that many
	// do not run, or one keeps faltering, the other number.
	Streams int
	// GiveUp is how long a lost device is tried again before Read fails; until
	// then it gives the time alone. 0 is 10 s.
	GiveUp time.Duration
	// Clock is a monotonic clock with any origin; needed. It tells how long a
	// gap was when the device cannot.
	Clock func() time.Duration
	// Command starts the sound process; nil is this program's own executable
	// with the argument "sound-process".
	Command []string
}

func (o *Options) validate() error {
	switch {
	case o.Clock == nil:
		return errors.New("device: Options.Clock is missing")
	case o.NoInput && o.NoOutput:
		return errors.New("device: neither microphone nor earphones are to be opened")
	case o.Frames != 0 && (o.Frames < 16 || o.Frames > 8192):
		return fmt.Errorf("device: Options.Frames is %d, want 16 to 8192", o.Frames)
	case o.Streams < 0 || o.Streams > 2:
		return fmt.Errorf("device: Options.Streams is %d, want 0 to 2", o.Streams)
	case o.GiveUp < 0:
		return fmt.Errorf("device: Options.GiveUp is %v, want 0 or more", o.GiveUp)
	}
	if o.Frames == 0 {
		o.Frames = 512
	}
	if o.GiveUp == 0 {
		o.GiveUp = 10 * time.Second
	}
	return o.findCommand()
}

func (o *Options) findCommand() error {
	if len(o.Command) > 0 {
		return nil
	}
	self, err := os.Executable()
	if err != nil {
		return fmt.Errorf("cannot find steadfoot's own program to start the sound process: %w", err)
	}
	o.Command = []string{self, "sound-process"}
	return nil
}

func (o *Options) request() wire.OpenRequest {
	return wire.OpenRequest{Input: o.Input, Output: o.Output, NoInput: o.NoInput, NoOutput: o.NoOutput, Frames: o.Frames, Streams: o.Streams}
}

// Info is one sound device as the system lists it: its host and name, the most
// channels each way, its default rate in Hz and the latencies it claims in
// seconds.
type Info = wire.Device

// List gives the sound devices of the system. It asks in a sound process, so a
// sound library that hangs or crashes is an error here.
func List(ctx context.Context) ([]Info, error) {
	return list(ctx, Options{})
}

// Stats are counts since Start. Latencies are in seconds.
type Stats struct {
	Overruns  int64 `json:"overruns"`  // callbacks before which the device dropped input
	Underruns int64 `json:"underruns"` // callbacks before which the device ran out of output
	Lost      int64 `json:"lost"`      // input samples lost, as in audio.Block.Lost
	Missing   int64 `json:"missing"`   // output samples played as silence: nothing written in time
	Late      int64 `json:"late"`      // output samples written too late to be played
	Restarts  int   `json:"restarts"`  // sound processes started after the first
	// Input and Output are the devices in use, "" when that side is closed.
	Input  string `json:"input"`
	Output string `json:"output"`
	// InputLatency and OutputLatency are what the device claims: a hint.
	InputLatency  float64 `json:"input_latency"`
	OutputLatency float64 `json:"output_latency"`
	// RoundTrip is from the capture of a sample to the sounding of the output
	// sample of the same index, by the device's own clock; 0 is unknown.
	RoundTrip float64 `json:"round_trip"`
	// Streams is 2 when each side has a stream of its own, else 1; 0 where one
	// side is closed.
	Streams int `json:"streams"`
	// Drift is how much faster than the microphone's clock that of the earphones
	// runs, in millionths, and DriftSD its standard error; DriftSD 0 is unknown.
	// With two streams it is corrected, and one sample of a million is no fault.
	// With one stream it should be 0: if it stays away from it, see TwoClocks, the
	// device hides two with clocks of their own, and dropped input or gaps in the
	// output will follow; after the first one each side gets a stream.
	Drift   float64 `json:"drift_ppm"`
	DriftSD float64 `json:"drift_ppm_sd"`
	// DriftFor is for how long Drift has been more than 20 millionths on one side, in
	// seconds of the session.
	DriftFor float64 `json:"drift_for"`
	// Clock is how the session's clock runs against Options.Clock.
	Clock timebase.Quality `json:"clock"`
}
