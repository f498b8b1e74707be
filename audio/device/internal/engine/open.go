package engine

import (
	"errors"
	"time"

	"steadfoot/audio/device/internal/wire"
)

const (
	openWithin  = 8 * time.Second // each of two tries
	soundWithin = 3 * time.Second
	settle      = 100 * time.Millisecond // a young stream is uneven; let it pass
)

// open opens the device and waits for its sound. Where it is left to the backend
// how many streams carry the two sides, and that number fails, the other one is
// tried: some devices run together alone, and some apart alone.
func open(req wire.OpenRequest, b Backend, clock Clock) (*stream, wire.OpenReply, error) {
	s, reply, err := tryOpen(req, b, clock)
	if err == nil || req.Streams != 0 || reply.Streams == 0 {
		return s, reply, err
	}
	req.Streams = 3 - reply.Streams
	s, reply, again := tryOpen(req, b, clock)
	if again != nil {
		return nil, reply, err // of what suits the devices best
	}
	return s, reply, nil
}

// tryOpen opens the device for a stream of its own. After an error
// OpenReply.Streams is 0 where another try makes no sense.
func tryOpen(req wire.OpenRequest, b Backend, clock Clock) (*stream, wire.OpenReply, error) {
	s := newStream(req.Frames, clock)
	if !req.NoInput && !req.NoOutput {
		s.pair = newPair(s.out)
	}
	reply, err := within(openWithin, "opening the sound device", func() (wire.OpenReply, error) {
		return b.Open(req, s.process, Playout{s.out, &s.running, &s.shift, &s.missing})
	})
	if err != nil {
		return nil, reply, err
	}
	if p, ok := b.(Poller); ok {
		s.poller = p
	}
	if err = s.wait(soundWithin); err == nil {
		return s, reply, nil
	}
	if closeBackend(b) != nil { // it hangs
		reply.Streams = 0
	}
	return nil, reply, err
}

// idle is the Poller of a Backend whose device calls the engine itself.
type idle struct{}

func (idle) Poll()          {}
func (idle) PollEvery() int { return 0 }

// wait returns when the device has called regularly for a short while.
func (s *stream) wait(limit time.Duration) error {
	begun := s.clock()
	var first time.Duration
	for {
		s.poller.Poll()
		now := s.clock()
		switch {
		case min(s.heard.Load(), s.played.Load()) == 0:
			first = now
		case now-first >= settle && min(s.heard.Load(), s.played.Load()) > 2:
			return nil
		}
		if now-begun > limit {
			return errors.New("the sound device opened but gives no sound")
		}
		time.Sleep(5 * time.Millisecond)
	}
}
