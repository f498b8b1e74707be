package device

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

// Times of a device that is gone.
const (
	bearFor   = 2 * time.Second        // a shorter absence is told when it is over
	lostEvery = 200 * time.Millisecond // Read gives signs of life so often
	lostShy   = 100 * time.Millisecond // what is younger may still be heard
	retry     = 300 * time.Millisecond // between two tries to open the device
	retryLong = time.Second            // and when it has been gone for retrySoon
	retrySoon = 15 * time.Second
)

// outage is a time without a sound process. Another goroutine tries to open
// the device again; Read goes on with nothing but the time.
type outage struct {
	reason error         // what ended the sound
	since  time.Duration // on Options.Clock
	told   bool          // the walk knows
	lost   int64         // samples given out as lost so far
	cancel context.CancelFunc
	done   chan struct{} // closed when it has ended
	err    error         // how it ended, once done is closed

	mu   sync.Mutex
	last error // why the last try failed
}

// why is what a person should know.
func (o *outage) why() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.last != nil {
		return o.last
	}
	return o.reason
}

func (o *outage) failed(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.last = err
}

// begin starts the clock when it does not run yet.
func (d *Duplex) begin() error {
	d.mu.Lock()
	p, begun, closed := d.p, d.going, d.closed
	d.going = true
	d.mu.Unlock()
	switch {
	case closed:
		return errClosed
	case begun:
		return nil
	}
	d.begun = d.o.Clock()
	p.bare(wire.Go)
	return nil
}

// lose ends the current process, for the given reason, and has a new one
// started.
func (d *Duplex) lose(reason error) {
	ctx, cancel := context.WithTimeout(d.ctx, d.o.GiveUp)
	now := d.o.Clock()
	young := d.back > 0 && now-d.back < retryLong // no storm of processes
	o := &outage{reason: reason, since: now, cancel: cancel, done: make(chan struct{})}
	d.mu.Lock()
	p := d.p
	d.p, d.placed, d.out = nil, false, o
	d.before = d.stats
	d.mu.Unlock()
	go func() {
		defer close(o.done)
		defer cancel()
		if p != nil { // else Close came first
			p.kill()
		}
		if young {
			time.Sleep(retry)
		}
		o.err = d.reopen(ctx, o)
	}()
}

// reopen tries until ctx ends; the error is the last one that tells something.
func (d *Duplex) reopen(ctx context.Context, o *outage) error {
	var last error
	begun := d.o.Clock()
	for {
		err := d.open(ctx)
		if err == nil || errors.Is(err, errClosed) {
			return err
		}
		if last == nil || ctx.Err() == nil {
			last = err
			o.failed(err)
		}
		pause := retry
		if d.o.Clock()-begun > retrySoon {
			pause = retryLong
		}
		select {
		case <-ctx.Done():
			return last
		case <-time.After(pause):
		}
	}
}

// endure waits for the end of an outage. It returns true with a block that
// tells of the time that has passed, false when the sound flows again.
func (d *Duplex) endure(b *audio.Block) (passed bool, err error) {
	o := d.out
	wait := lostEvery
	if !o.told {
		wait = bearFor - (d.o.Clock() - o.since)
	}
	d.timer.Reset(wait)
	select {
	case <-o.done:
		return false, d.recovered(o)
	case <-d.ctx.Done():
		return false, context.Cause(d.ctx)
	case <-d.timer.C:
	}
	if d.isClosed() {
		return false, errClosed
	}
	d.pass(b, o)
	return true, nil
}

// pass fills b with the time that is lost by now.
func (d *Duplex) pass(b *audio.Block, o *outage) {
	b.Index = max(d.next, d.due(d.o.Clock()-lostShy))
	b.Lost = b.Index - d.next
	d.next = b.Index
	o.lost += b.Lost
	d.mu.Lock()
	d.stats.Lost += b.Lost
	d.mu.Unlock()
	if !o.told {
		o.told = true
		b.Fault = fmt.Sprintf("the sound is gone: %v; the walk goes on, and it is tried again", o.why())
	}
}

// due is the session index at a time of the clock.
func (d *Duplex) due(now time.Duration) int64 {
	if d.origin.notes == 0 { // not a single block has come
		return int64(math.Round((now - d.begun).Seconds() * audio.Rate))
	}
	return d.origin.index(now)
}

// recovered ends an outage, well or for good.
func (d *Duplex) recovered(o *outage) error {
	err := o.err
	switch {
	case err == nil:
	case errors.Is(err, errClosed), d.isClosed():
		return errClosed
	case d.ctx.Err() != nil:
		return context.Cause(d.ctx)
	default:
		err = fmt.Errorf("the sound device has not come back within %v: %w", d.o.GiveUp, err)
		d.mu.Lock()
		d.failed = err
		d.mu.Unlock()
		return err
	}
	d.back = d.o.Clock()
	d.fault, d.away = fmt.Sprintf("%v; started it again", o.reason), o.lost
	d.mu.Lock()
	p := d.p
	d.out = nil
	d.stats.Restarts++
	d.mu.Unlock()
	if p == nil {
		return errClosed
	}
	p.bare(wire.Go)
	return nil
}
