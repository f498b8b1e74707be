package device

import (
	"errors"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

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
	p, out, closed, unheard := d.p, d.out, d.closed, d.written > 0 && !d.going
	d.closed, d.going = true, true
	d.mu.Unlock()
	if !closed && out != nil {
		out.cancel()
		select { // what it has started must not outlive the program
		case <-out.done:
		case <-time.After(endWithin):
		}
	}
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
