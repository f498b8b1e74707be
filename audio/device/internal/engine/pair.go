package engine

import (
	"sync/atomic"

	"steadfoot/audio/device/internal/ring"
)

// stamp is what is known of one callback of the earphones.
type stamp struct {
	frame           int64 // number of its first output frame
	frames          int
	flags           uint32
	clock, now, dac int64 // as in wire.BlockHead
}

// pair is what a stream has besides when microphone and earphones are two
// devices, each with a callback, a thread and a crystal of its own.
type pair struct {
	stamps *ring.Queue[stamp]
	aim    sharedAim
	zero   atomic.Int64  // number of the input frame that is session sample 0; -1 before
	flags  atomic.Uint32 // of the output, for the next block

	// Of the output callback alone.
	slide  *slide
	frames int64
}

func newPair(out *ring.Output) *pair {
	p := &pair{stamps: ring.NewQueue[stamp](inputSlots), slide: newSlide(out)}
	p.zero.Store(-1)
	return p
}

// hear is the microphone's callback. What comes before the clock runs is kept
// as well, for the clocks to be known when it does.
func (s *stream) hear(in []float32, c *Call, flags uint32) {
	s.heard.Add(1)
	s.frames += c.Skipped
	if s.pair.zero.Load() < 0 && s.running.Load() != 0 {
		s.pair.zero.Store(s.frames)
	}
	s.keep(in, len(in), c, flags|s.pair.flags.Swap(0))
	s.frames += int64(len(in))
}

// speak is the earphones' callback.
func (s *stream) speak(out []float32, channels int, c *Call, flags uint32) {
	s.played.Add(1)
	p := s.pair
	p.frames += c.Skipped
	n := len(out) / channels
	if at := p.stamps.Next(); at != nil {
		*at = stamp{p.frames, n, flags, int64(c.Begun), int64(c.Now), int64(c.DAC)}
		p.stamps.Commit()
	}
	if flags != 0 {
		p.flags.Or(flags)
	}
	if p.aim.get(&p.slide.aim) || p.slide.started {
		s.render(out, channels, p.frames+c.Ahead)
	} else {
		clear(out)
	}
	p.frames += int64(n)
}

// render plays what the aim says for output frames from that number on.
func (s *stream) render(out []float32, channels int, frame int64) {
	for len(out) >= channels {
		part := s.tmp[:min(chunk, len(out)/channels)]
		if n := s.pair.slide.play(part, frame); n > 0 {
			s.missing.Add(int64(n))
		}
		frame += int64(len(part))
		for i, f := range part {
			spread(out[i*channels:(i+1)*channels], f)
		}
		out = out[len(part)*channels:]
	}
}
