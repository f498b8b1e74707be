package engine

import (
	"errors"
	"fmt"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

var errStop = errors.New("told to stop")

// obey does what the walk's process sends. It returns errStop when told to
// stop, and io.EOF when that process is gone.
func (s *stream) obey(r *wire.Reader) error {
	frames := make([]audio.Frame, 0, 2048)
	for {
		kind, p, err := r.Next()
		if err != nil {
			return err
		}
		switch kind {
		case wire.Go:
			s.running.Store(1)
		case wire.Stop:
			return errStop
		case wire.Output:
			var index int64
			if index, frames, err = wire.DecodeOutput(p, frames); err == nil {
				err = s.put(index, frames)
			}
			if err != nil {
				return err
			}
		default:
			return fmt.Errorf("a frame of kind %d has no place here", kind)
		}
	}
}

// put hands frames to the callback and waits while there is no room: who
// writes far ahead is slowed down to real time.
func (s *stream) put(index int64, frames []audio.Frame) error {
	life := newPulse(s.clock, &s.played)
	for {
		n := s.out.Put(index, frames)
		if n == len(frames) {
			return nil
		}
		index += int64(n)
		frames = frames[n:]
		if life.lost(deadAfter) || s.running.Load() == 0 {
			return errDead
		}
		time.Sleep(2 * time.Millisecond)
	}
}

// playOut waits until what is rendered has been heard.
func (s *stream) playOut(reply wire.OpenReply) {
	if s.out.Waiting() == 0 || s.running.Load() == 0 {
		return
	}
	life, begun := newPulse(s.clock, &s.played), s.clock()
	for s.out.Waiting() > 0 && s.clock()-begun < playWithin && !life.lost(closeWithin) {
		time.Sleep(5 * time.Millisecond)
	}
	time.Sleep(time.Duration(min(reply.OutputLatency, 0.2) * float64(time.Second)))
}
