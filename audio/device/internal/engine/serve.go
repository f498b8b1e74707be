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
	closeWithin = 500 * time.Millisecond
	playWithin  = 2 * time.Second
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
	_ = closeBackend(b) // the end of the process does the rest
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
	s, reply, err := open(req, b, clock)
	if err != nil {
		return err
	}
	if err := w.JSON(wire.Opened, reply); err != nil {
		return toldError{err}
	}
	return s.run(r, w, b, req.Frames, reply)
}

// run carries sound both ways until one side ends.
func (s *stream) run(r *wire.Reader, w *wire.Writer, b Backend, frames int, reply wire.OpenReply) error {
	forwarded, obeyed := make(chan error, 1), make(chan error, 1)
	f := newForwarder(s, w, reply.Streams)
	every := time.Duration(frames) * time.Second / audio.Rate
	if n := s.poller.PollEvery(); n > 0 {
		every *= time.Duration(n)
	} else {
		every /= 2
	}
	go func() { forwarded <- f.run(every) }()
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
			_ = closeBackend(b) // the end of the process does the rest
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

// closeBackend gives the library a moment to say goodbye to its server.
func closeBackend(b Backend) error {
	_, err := within(closeWithin, "closing", func() (struct{}, error) { return struct{}{}, b.Close() })
	return err
}
