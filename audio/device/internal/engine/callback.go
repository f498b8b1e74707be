package engine

import (
	"sync/atomic"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
)

const (
	inputSlots = 1024    // 5 s at 256 samples a callback
	outputSize = 1 << 16 // 1.4 s
	chunk      = 256     // output frames handled at once in the callback
)

// stream is what the device's thread and the sound process share.
type stream struct {
	clock Clock
	in    *ring.Input
	out   *ring.Output

	// How often the device called: its sign of life. Where both sides are one
	// stream they count alike.
	heard, played atomic.Int64
	running       atomic.Uint32 // 1: the clock has started
	shift         atomic.Int64  // samples lost so far: clock index - device index
	missing       atomic.Int64
	pair          *pair // where the sides may be two streams
	poller        Poller
	spent         Spent
	least         atomic.Int64 // of this clock less the library's, ns; 0 before

	// Of the callback alone, or of the microphone's.
	frames  int64  // device index of the next sample
	carried uint32 // flags of callbacks that found the queue full

	// Of the callback that plays.
	tmp [chunk]audio.Frame
}

func newStream(frames int, clock Clock) *stream {
	return &stream{clock: clock, in: ring.NewInput(inputSlots, frames), out: ring.NewOutput(outputSize), poller: idle{}}
}

// process is the callback. Before the clock runs it plays silence and drops
// what it hears.
func (s *stream) process(in, out []float32, channels int, c Call, flags uint32) {
	if c.Begun == 0 {
		c.Begun = s.clock()
	}
	s.handle(in, out, channels, &c, flags)
	if c.Took == 0 {
		c.Took = s.clock() - c.Begun
	}
	s.spent.note(&c, &s.least)
}

func (s *stream) handle(in, out []float32, channels int, c *Call, flags uint32) {
	switch {
	case c.Played:
	case s.pair != nil && len(out) == 0:
		s.hear(in, c, flags)
		return
	case s.pair != nil && len(in) == 0:
		s.speak(out, channels, c, flags)
		return
	}
	s.heard.Add(1)
	s.played.Add(1)
	if s.running.Load() == 0 {
		clear(out)
		return
	}
	s.frames += c.Skipped
	n := len(in)
	switch {
	case c.Played:
		n = c.Frames
	case channels > 0:
		n = len(out) / channels
		s.play(out, channels)
	}
	s.keep(in, n, c, flags)
	s.frames += int64(n)
}

// play fills out with what is rendered for this very moment of the clock.
func (s *stream) play(out []float32, channels int) {
	index := s.frames + s.shift.Load()
	for len(out) > 0 {
		part := s.tmp[:min(chunk, len(out)/channels)]
		if len(part) == 0 {
			return
		}
		if n := s.out.Play(part, index); n > 0 {
			s.missing.Add(int64(n))
		}
		index += int64(len(part))
		for i, f := range part {
			spread(out[i*channels:(i+1)*channels], f)
		}
		out = out[len(part)*channels:]
	}
}

// spread puts a stereo frame on as many channels as there are.
func spread(out []float32, f audio.Frame) {
	if len(out) == 1 {
		out[0] = (f[0] + f[1]) / 2
		return
	}
	out[0], out[1] = f[0], f[1]
	clear(out[2:])
}

// keep queues n samples; without input they are silence. When the queue is
// full they are dropped, which the jump of the next index tells.
func (s *stream) keep(in []float32, n int, c *Call, flags uint32) {
	flags |= s.carried
	s.carried = 0
	for from := 0; from < n; {
		slot := s.in.Next()
		if slot == nil {
			s.carried |= flags
			return
		}
		part := slot.Samples[:min(n-from, cap(slot.Samples))]
		if len(in) >= from+len(part) {
			copy(part, in[from:])
		} else {
			clear(part)
		}
		slot.Samples = part
		slot.Index, slot.Flags, slot.Missing = s.frames+int64(from), flags, s.missing.Load()
		slot.Clock, slot.ADC, slot.Now, slot.DAC = int64(c.Begun), int64(c.ADC), int64(c.Now), int64(c.DAC)
		s.in.Commit()
		from += len(part)
		flags = 0
	}
}
