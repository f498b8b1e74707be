package engine

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

// Deadlines of the sound library and the device.
const (
	openWithin  = 8 * time.Second
	soundWithin = 3 * time.Second
	closeWithin = 500 * time.Millisecond
	playWithin  = 2 * time.Second
	settle      = 100 * time.Millisecond // a young stream is uneven; let it pass
)

// Serve answers one request that comes over in: it lists the devices, or runs
// a stream until it is told to stop, in ends or the device dies. What went
// wrong it tells the other side, and returns. The caller then ends the process
// without further calls of the backend, which may be hanging.
func Serve(in io.Reader, out io.Writer, b Backend, clock Clock) error {
	r, w := wire.NewReader(in), wire.NewWriter(out)
	kind, p, err := r.Next()
	if err != nil {
		return errors.New("this command is started by steadfoot itself and is of no use alone")
	}
	switch kind {
	case wire.List:
		err = list(w, b)
	case wire.Open:
		err = serveStream(r, w, p, b, clock)
	default:
		err = fmt.Errorf("the first frame is of kind %d, want a request", kind)
	}
	var told toldError
	if err != nil && !errors.As(err, &told) {
		// The other side may be gone already; then nobody misses this line.
		_ = w.Text(wire.Failed, err.Error())
	}
	return err
}

// toldError is an end that the other side knows of or has caused.
type toldError struct{ error }

func list(w *wire.Writer, b Backend) error {
	devs, err := within(openWithin, "listing the sound devices", b.Devices)
	if err != nil {
		return err
	}
	if err := w.JSON(wire.Devices, devs); err != nil {
		return toldError{err}
	}
	closeBackend(b)
	return nil
}

func serveStream(r *wire.Reader, w *wire.Writer, p []byte, b Backend, clock Clock) error {
	var req wire.OpenRequest
	if err := json.Unmarshal(p, &req); err != nil {
		return fmt.Errorf("the request to open is damaged: %v", err)
	}
	if req.Frames < 16 || req.Frames > 8192 {
		return fmt.Errorf("%d frames a callback; want 16 to 8192", req.Frames)
	}
	s := newStream(req.Frames, clock)
	if !req.NoInput && !req.NoOutput {
		s.pair = newPair(s.out)
	}
	reply, err := within(openWithin, "opening the sound device", func() (wire.OpenReply, error) {
		return b.Open(req, s.process)
	})
	if err != nil {
		return err
	}
	if err := s.wait(soundWithin); err != nil {
		return err
	}
	if err := w.JSON(wire.Opened, reply); err != nil {
		return toldError{err}
	}
	return s.run(r, w, b, req.Frames, reply)
}

// wait returns when the device has called regularly for a short while.
func (s *stream) wait(limit time.Duration) error {
	begun := s.clock()
	var first time.Duration
	for {
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

// run carries sound both ways until one side ends.
func (s *stream) run(r *wire.Reader, w *wire.Writer, b Backend, frames int, reply wire.OpenReply) error {
	forwarded, obeyed := make(chan error, 1), make(chan error, 1)
	f := newForwarder(s, w, reply.Streams)
	period := time.Duration(frames) * time.Second / audio.Rate
	go func() { forwarded <- f.run(period / 2) }()
	go func() { obeyed <- s.obey(r) }()
	var tick <-chan time.Time
	meter, metered := b.(Meter)
	if metered {
		t := time.NewTicker(meterEvery)
		defer t.Stop()
		tick = t.C
	}
	for {
		select {
		case <-tick:
			meter.Spent(&s.spent)
		case err := <-forwarded:
			return err
		case err := <-obeyed:
			if !errors.Is(err, errStop) {
				// The forwarder may hang in the pipe, so nothing more can be said.
				return toldError{err}
			}
			s.playOut(reply)
			if metered {
				meter.Spent(&s.spent)
			}
			closeBackend(b)
			return nil
		}
	}
}

// within runs f, which may never return, and waits for it at most limit.
func within[T any](limit time.Duration, what string, f func() (T, error)) (T, error) {
	type result struct {
		v   T
		err error
	}
	done := make(chan result, 1)
	go func() {
		v, err := f()
		done <- result{v, err}
	}()
	select {
	case r := <-done:
		return r.v, r.err
	case <-time.After(limit):
		var none T
		return none, fmt.Errorf("%s took longer than %v", what, limit)
	}
}

// closeBackend gives the library a moment to say goodbye to its server; the
// end of the process does the rest.
func closeBackend(b Backend) {
	_, _ = within(closeWithin, "closing", func() (struct{}, error) { return struct{}{}, b.Close() })
}
