package engine

import (
	"errors"
	"sync/atomic"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/wire"
	"steadfoot/audio/device/timebase"
)

// deadAfter is how long the device may be silent before the sound process
// gives up. The walk's process has usually replaced it long before.
const (
	deadAfter = 3 * time.Second
	muteAfter = 750 * time.Millisecond // for earphones alone
)

var (
	errDead = errors.New("the sound device has stopped: it gave no sound for 3 s")
	errMute = errors.New("the earphones have stopped: they took no sound for 750 ms")
)

// forwarder sends what the callback heard to the walk's process.
type forwarder struct {
	s    *stream
	w    *wire.Writer
	line *timeline
	lag  lagWatch
	old  float64 // age of the last sample at its callback, as last known
	held int     // slots at the head of the queue that the timeline holds back

	two   *follower      // where the sides are two streams
	apart *timebase.Line // where they are one: the way from ADC to DAC, on input frames
}

func newForwarder(s *stream, w *wire.Writer, streams int) *forwarder {
	f := &forwarder{s: s, w: w, line: newTimeline(audio.Rate), apart: timebase.NewLine(audio.Rate)}
	if streams == 2 {
		// While a stream fills its buffers the times it tells mean little: on
		// PulseAudio they were 26 ms off for the first 30 ms.
		s.in.Release(s.in.Len())
		s.pair.stamps.Release(s.pair.stamps.Len())
		f.two = newFollower(s.pair)
	}
	return f
}

// run forwards until the pipe breaks or the device dies.
func (f *forwarder) run(every time.Duration) error {
	tick := newTick(every)
	ear, mouth := newPulse(f.s.clock, &f.s.heard), newPulse(f.s.clock, &f.s.played)
	for {
		tick.wait()
		f.s.poller.Poll()
		if err := f.drain(); err != nil {
			return err
		}
		if ear.lost(deadAfter) {
			return errDead
		}
		if mouth.lost(muteAfter) && !ear.lost(muteAfter) { // nobody else would see it
			return errMute
		}
	}
}

// drain looks at every new slot and sends those that are settled.
func (f *forwarder) drain() error {
	f.w.Gather()
	err := f.look()
	if sent := f.w.Flush(); err == nil {
		err = sent
	}
	return err
}

func (f *forwarder) look() error {
	if f.two != nil {
		if err := f.two.drain(); err != nil {
			return err
		}
	}
	for f.held < f.s.in.Len() {
		slot := f.s.in.At(f.held)
		n := len(slot.Samples)
		f.held++
		ready, lost := f.line.observe(f.delay(slot), slot.Flags&f.alarming() != 0, n)
		if !ready {
			continue
		}
		f.compare(slot, f.s.shift.Add(lost), lost)
		if err := f.send(); err != nil {
			return err
		}
		if err := f.lag.note(f.old, float64(n)/audio.Rate); err != nil {
			return err
		}
	}
	return nil
}

// alarming are the flags after which input may be lost.
func (f *forwarder) alarming() uint32 {
	if f.two != nil {
		return wire.InputUnderflow | wire.InputOverflow
	}
	return wire.Xrun
}

// compare learns how the two sides' clocks run against each other.
func (f *forwarder) compare(slot *ring.Slot, shift, lost int64) {
	if f.two != nil {
		f.two.heard(slot, shift, lost, f.old)
		return
	}
	if lost > 0 {
		f.apart.Gap()
	}
	if slot.ADC != 0 && slot.DAC > slot.ADC {
		at := float64(slot.Index) / audio.Rate * 1e9
		f.apart.Add(slot.Index, time.Duration(at)+time.Duration(slot.DAC-slot.ADC))
	}
}

// delay is how long after its place on the clock, but for a constant, the
// slot's last sample was captured. Where the device does not tell when that
// was, the callback stands for it.
func (f *forwarder) delay(slot *ring.Slot) float64 {
	if a, ok := age(slot, audio.Rate); ok {
		f.old = a
	}
	end := slot.Index + int64(len(slot.Samples)) + f.s.shift.Load()
	return float64(slot.Clock)/1e9 - f.old - float64(end)/audio.Rate
}

// send passes all held slots on.
func (f *forwarder) send() error {
	for i := range f.held {
		slot := f.s.in.At(i)
		h := f.head(slot)
		if h.Index < 0 {
			continue // before the clock ran
		}
		if err := f.w.Block(&h, slot.Samples); err != nil {
			return err
		}
	}
	f.s.in.Release(f.held)
	f.held = 0
	return nil
}

func (f *forwarder) head(slot *ring.Slot) wire.BlockHead {
	h := wire.BlockHead{
		Index: slot.Index + f.s.shift.Load(), Frames: len(slot.Samples), Flags: slot.Flags,
		Clock: slot.Clock, ADC: slot.ADC, Now: slot.Now, DAC: slot.DAC,
		Missing: slot.Missing, Late: f.s.out.Late(), Sent: int64(f.s.clock()),
	}
	switch {
	case f.two != nil:
		f.two.complete(&h)
	case f.apart.Known():
		h.Drift, h.DriftSD = f.apart.PPM()
	}
	return h
}

// pulse watches that callbacks go on.
type pulse struct {
	clock Clock
	calls *atomic.Int64
	seen  int64
	at    time.Duration
}

func newPulse(clock Clock, calls *atomic.Int64) *pulse {
	return &pulse{clock, calls, calls.Load(), clock()}
}

// lost says whether no callback has come for that long.
func (p *pulse) lost(limit time.Duration) bool {
	now := p.clock()
	if n := p.calls.Load(); n != p.seen {
		p.seen, p.at = n, now
	}
	return now-p.at > limit
}
