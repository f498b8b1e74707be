package device

import (
	"context"
	"errors"
	"fmt"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

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
	p.bare(wire.Go)
	return nil
}

// replace ends the current process, for the given reason, and starts new ones
// until one gives sound. It returns an error when none did in time.
func (d *Duplex) replace(reason error) error {
	d.mu.Lock()
	p := d.p
	d.p, d.placed = nil, false
	d.before = d.stats
	d.mu.Unlock()
	p.kill()

	ctx, cancel := context.WithTimeout(d.ctx, d.o.GiveUp)
	defer cancel()
	err := d.reopen(ctx)
	switch {
	case err == nil:
	case errors.Is(err, errClosed):
		return err
	case d.ctx.Err() != nil:
		return context.Cause(d.ctx)
	default:
		err = fmt.Errorf("the sound device has not come back within %v: %w", d.o.GiveUp, err)
		d.mu.Lock()
		d.failed = err
		d.mu.Unlock()
		return err
	}
	d.fault = fmt.Sprintf("%v; started it again", reason)
	d.mu.Lock()
	p = d.p
	d.stats.Restarts++
	d.mu.Unlock()
	p.bare(wire.Go)
	return nil
}

// reopen tries until ctx ends; the error is the last one that tells something.
func (d *Duplex) reopen(ctx context.Context) error {
	var last error
	for {
		err := d.open(ctx)
		if err == nil || errors.Is(err, errClosed) {
			return err
		}
		if last == nil || ctx.Err() == nil {
			last = err
		}
		select {
		case <-ctx.Done():
			return last
		case <-time.After(retry):
		}
	}
}

// Write implements audio.Sink. frames follow what was written before; the
// first one ever is sample 0 of the session. What comes after its time is
// dropped and counted in Stats.Late, also while a lost device is being
// replaced; once Read has given it up, Write fails as well. Writing more than a
// second ahead waits.
func (d *Duplex) Write(frames []audio.Frame) error {
	if d.o.NoOutput {
		return errNoOutput
	}
	for len(frames) > 0 {
		n := min(len(frames), outChunk)
		if err := d.writeChunk(frames[:n]); err != nil {
			return err
		}
		frames = frames[n:]
	}
	return nil
}

func (d *Duplex) writeChunk(frames []audio.Frame) error {
	d.mu.Lock()
	p, index, closed, failed := d.p, d.written-d.base, d.closed, d.failed
	d.written += int64(len(frames))
	full := !d.going && d.written > ahead
	if p != nil && !d.placed {
		p = nil
	}
	if p == nil {
		d.before.Late += int64(len(frames))
		d.stats.Late += int64(len(frames))
	}
	d.mu.Unlock()
	switch {
	case closed:
		return errClosed
	case failed != nil:
		return failed
	case p == nil:
		return nil
	case full:
		if err := d.begin(); err != nil {
			return err
		}
	}
	p.output(index, frames)
	return nil
}

// Close plays what was written, at most two seconds of it, and ends the sound
// process. It is safe to call twice, and while a Read waits in another
// goroutine.
func (d *Duplex) Close() error {
	d.mu.Lock()
	p, closed, unheard := d.p, d.closed, d.written > 0 && !d.going
	d.closed, d.going = true, true
	d.mu.Unlock()
	if closed || p == nil {
		return nil
	}
	if unheard {
		p.bare(wire.Go)
	}
	p.bare(wire.Stop)
	if !p.end(endWithin) {
		p.kill()
		return errors.New("the sound device did not end by itself and was cut off")
	}
	return nil
}
