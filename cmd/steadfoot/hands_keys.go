package main

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"sync"
	"time"

	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach/event"
)

// keyWish is what a key asks for.
type keyWish uint8

const (
	noWish keyWish = iota
	wishLap
	wishPause
	wishResume
	wishPauseOrResume
	wishLouder
	wishSofter
)

// keyWishes are the keys that mean something, by their codes in Linux's
// input-event-codes.h. Media keys are those of headsets, earbuds and remotes.
var keyWishes = map[uint16]keyWish{
	28:  wishLap,           // Enter
	57:  wishLap,           // space
	96:  wishLap,           // Enter of the number pad
	114: wishSofter,        // volume down
	115: wishLouder,        // volume up
	119: wishPause,         // Pause
	163: wishLap,           // next song
	164: wishPauseOrResume, // play/pause
	166: wishPause,         // stop
	200: wishResume,        // play
	201: wishPause,         // pause
	207: wishResume,        // play
	226: wishPauseOrResume, // the one key of a headset
}

func keyMeans(code uint16) keyWish { return keyWishes[code] }

// buttonMeans is for a device that is a button, whatever keys it sends.
func buttonMeans(uint16) keyWish { return wishLap }

// buttonRest is how soon after a press another one is the same: some buttons send
// two keys at once.
const buttonRest = 300 * time.Millisecond

// keyPresses reads what a Linux input device writes: struct input_event, two
// longs of time, type and code of 16 bits, and a value of 32.
type keyPresses struct {
	r   *bufio.Reader
	raw []byte // one struct
}

// newKeyPresses is for a system whose longs have so many bits, 32 or 64.
func newKeyPresses(r io.Reader, bits int) *keyPresses {
	return &keyPresses{bufio.NewReader(r), make([]byte, 2*bits/8+8)}
}

// next gives the code of the next key that is pressed. Keys let go or held down,
// and whatever else the device tells, are left out.
func (k *keyPresses) next() (uint16, error) {
	const keyEvent, pressed = 1, 1
	for {
		if _, err := io.ReadFull(k.r, k.raw); err != nil {
			return 0, err
		}
		e := k.raw[len(k.raw)-8:]
		if order := binary.NativeEndian; order.Uint16(e) == keyEvent && order.Uint32(e[4:]) == pressed {
			return order.Uint16(e[2:]), nil
		}
	}
}

// keyDevice is a device of keys that may go and come back.
type keyDevice struct {
	open func() (io.ReadCloser, error)

	mu   sync.Mutex
	r    io.ReadCloser // nil while it is gone
	over bool
}

// openKeys opens the device whose path comes after key: or button:.
func (h *hands) openKeys(path string, means func(uint16) keyWish) error {
	if path == "" {
		return usagef("want a device after it, like /dev/input/by-id/NAME")
	}
	d := &keyDevice{open: func() (io.ReadCloser, error) { return openKeyDevice(path) }}
	if err := d.reopen(); err != nil {
		return err
	}
	h.from = d
	h.listen = func() { h.listenKeys(d, path, means) }
	return nil
}

// reopen opens the device, unless the walk is over.
func (d *keyDevice) reopen() error {
	r, err := d.open()
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.over {
		r.Close()
		return fs.ErrClosed
	}
	d.r = r
	return nil
}

// Close implements io.Closer; it ends a read that waits.
func (d *keyDevice) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.over = true
	if d.r == nil {
		return nil
	}
	return d.r.Close()
}

// lose closes a device that is gone; false when the walk is over.
func (d *keyDevice) lose() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.over {
		d.r.Close() // it has failed already
		d.r = nil
	}
	return !d.over
}

// keyRetry is how often a device that is gone is looked for.
const keyRetry = time.Second

// listenKeys takes the keys of a device until the walk is over. One that goes is
// told once, and used again when it is back.
func (h *hands) listenKeys(d *keyDevice, path string, means func(uint16) keyWish) {
	for {
		err := h.serveKeys(newKeyPresses(d.r, strconv.IntSize), means)
		if h.ctx.Err() != nil || !d.lose() {
			return
		}
		gone := fmt.Sprintf("the keys of %s are gone: %v; the walk goes on, and they are used again when they are back", path, bare(err))
		told := h.fault(gone)
		for back := false; !back; {
			select {
			case <-time.After(keyRetry):
			case <-h.ctx.Done():
				return
			}
			told = told || h.fault(gone)
			back = d.reopen() == nil
		}
		h.tell(path + " is back")
	}
}

var errKeysFlood = errors.New("too many keys at once; what is over is dropped")

// serveKeys does what the keys ask for, until the device fails.
func (h *hands) serveKeys(keys *keyPresses, means func(uint16) keyWish) error {
	last := -buttonRest
	for {
		code, err := keys.next()
		if err != nil {
			return err
		}
		wish := means(code)
		if wish == noWish {
			continue
		}
		allowed, first := h.allow()
		now := h.spare.clock()
		switch {
		case first:
			h.tell(errKeysFlood.Error())
		case !allowed:
			if err := h.rest(); err != nil {
				return err
			}
		case wish == wishLap && now-last < buttonRest:
		case !h.wish(wish):
			h.tell(errHandsBusy.Error())
		}
		if wish == wishLap {
			last = now
		}
	}
}

// wish hands on what a key asks for; false when the walk does not keep up.
func (h *hands) wish(k keyWish) bool {
	switch k {
	case wishLouder:
		return h.volume(1)
	case wishSofter:
		return h.volume(-1)
	case wishPauseOrResume:
		return h.ask(func(w *live.Walk) {
			m := event.Mark{Name: event.MarkPause}
			if w.Coach.Status().Paused {
				m.Name = event.MarkResume
			}
			w.Mark(m)
		})
	}
	m := event.Mark{Name: map[keyWish]string{wishLap: event.MarkLap, wishPause: event.MarkPause, wishResume: event.MarkResume}[k]}
	select {
	case h.marks <- m:
		return true
	default:
		return false
	}
}
