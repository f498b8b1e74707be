package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
)

const (
	handBurst = 16 // lines that may come at once
	handRate  = 8  // lines a second in the long run
)

// hands brings marks from other programs, one word a line, from a named pipe or
// from whoever has connected to a socket; or from a device of keys.
//
// What they bring comes in goroutines of their own. None of them ever waits for the
// walk, nor the walk for them: what the walk does not take at once is dropped.
type hands struct {
	from   io.Closer
	listen func() // reads until from is closed

	ctx context.Context // done when the walk is over
	reach

	mu    sync.Mutex
	spare ration
}

// reach is how hands reach a walk. None of it waits.
type reach struct {
	marks  chan<- event.Mark
	ask    func(func(*live.Walk)) bool // has something done in the walk's own goroutine; false when it was not taken
	tell   func(string) bool           // shows one line; likewise
	fault  func(string) bool           // has a fault logged and told to the walker; likewise
	volume func(steps int) bool        // makes all sound louder or softer; likewise
}

// newReach is for a walk that takes these marks and wishes.
func newReach(marks chan<- event.Mark, wishes chan<- func(*live.Walk), lines *view, volume func(steps int) bool) reach {
	r := reach{marks: marks, volume: volume}
	r.ask = func(f func(*live.Walk)) bool {
		select {
		case wishes <- f:
			return true
		default:
			return false
		}
	}
	r.tell = func(text string) bool {
		return r.ask(func(w *live.Walk) { lines.say(w.Ear.Now(), "hands", text) })
	}
	r.fault = func(what string) bool {
		return r.ask(func(w *live.Walk) { w.Fault(what) })
	}
	return r
}

// openHands makes the pipe or the socket, or opens the device: where is the path of
// a named pipe, unix:PATH, key:DEVICE or button:DEVICE.
func openHands(where string) (*hands, error) {
	h := &hands{spare: ration{burst: handBurst, rate: handRate, clock: monotonic()}}
	kind, path, _ := strings.Cut(where, ":")
	var err error
	switch kind {
	case "unix":
		err = h.openSocket(path)
	case "key":
		err = h.openKeys(path, keyMeans)
	case "button":
		err = h.openKeys(path, buttonMeans)
	default:
		err = h.openPipe(where)
	}
	if err != nil {
		return nil, fmt.Errorf("--hands %s: %w", where, err)
	}
	return h, nil
}

// start lets the hands into a walk.
func (h *hands) start(ctx context.Context, to reach) {
	h.ctx, h.reach = ctx, to
	go h.listen()
}

// close ends the hands and takes away what openHands has made.
func (h *hands) close() error { return h.from.Close() }

var (
	errHandsFlood = errors.New("too many lines at once; what is over is dropped")
	errHandsBusy  = errors.New("the walk did not take it; send it again")
)

// serve takes lines from r until it ends, and gives each to answer with what was
// wrong with it, nil when it was taken. A flood is told once, and read slowly, so
// that whoever makes it is held up and not the walk.
func (h *hands) serve(r io.Reader, answer func(error) error) error {
	for in := newHandLines(r); ; {
		line, err := in.next()
		long, more := errors.Is(err, errHandsLong), errors.Is(err, errHandsMore)
		if err != nil && !long && !more {
			return err
		}
		allowed, first := false, false
		if !more {
			allowed, first = h.allow()
		}
		switch {
		case first:
			err = errHandsFlood
		case allowed && !long:
			err = h.take(line)
		case !allowed:
			in.drop()
			if err := h.rest(); err != nil {
				return err
			}
			continue
		}
		if err != nil {
			h.tell(err.Error())
		}
		if err := answer(err); err != nil {
			return err
		}
	}
}

// rest holds up the sender of a flood.
func (h *hands) rest() error {
	select {
	case <-time.After(20 * time.Millisecond):
		return nil
	case <-h.ctx.Done():
		return context.Cause(h.ctx)
	}
}

func (h *hands) allow() (allowed, first bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.spare.take()
}

// take hands on the mark that a line asks for.
func (h *hands) take(line string) error {
	m, err := parseHand(line)
	if err != nil || m.Name == "" {
		return err
	}
	select {
	case h.marks <- m:
		return nil
	default:
		return errHandsBusy
	}
}

// ration says how many lines are let through: burst at once, and rate a second
// in the long run.
type ration struct {
	burst, rate float64
	clock       func() time.Duration

	used float64       // of burst
	at   time.Duration // when that was
	told bool          // that there are too many, since it was last quiet
}

// take asks for one more line. first is set with the first one that is refused
// since it was quiet long enough for a whole burst.
func (r *ration) take() (allowed, first bool) {
	now := r.clock()
	r.used = max(0, r.used-r.rate*(now-r.at).Seconds())
	r.at = now
	if r.used == 0 {
		r.told = false
	}
	if r.used+1 > r.burst {
		first, r.told = !r.told, true
		return false, first
	}
	r.used++
	return true, false
}
