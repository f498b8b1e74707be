package engine

import (
	"errors"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/ring"
	"steadfoot/audio/device/internal/wire"
)

// deadAfter is how long the device may be silent before the sound process
// gives up. The walk's process has usually replaced it long before.
const deadAfter = 3 * time.Second

var errDead = errors.New("the sound device has stopped: it gave no sound for 3 s")

// forwarder sends what the callback heard to the walk's process.
type forwarder struct {
	s    *stream
	w    *wire.Writer
	line *timeline
	lag  lagWatch
	old  float64 // age of the last sample at its callback, as last known
	held int     // slots at the head of the queue that the timeline holds back
}

func newForwarder(s *stream, w *wire.Writer) *forwarder {
	return &forwarder{s: s, w: w, line: newTimeline(audio.Rate)}
}

// run forwards until the pipe breaks or the device dies.
func (f *forwarder) run(every time.Duration) error {
	tick := time.NewTicker(every)
	defer tick.Stop()
	life := newPulse(f.s)
	for {
		<-tick.C
		if err := f.drain(); err != nil {
			return err
		}
		if life.lost(deadAfter) {
			return errDead
		}
	}
}

// drain looks at every new slot and sends those that are settled.
func (f *forwarder) drain() error {
	for f.held < f.s.in.Len() {
		slot := f.s.in.At(f.held)
		n := len(slot.Samples)
		f.held++
		ready, lost := f.line.observe(f.delay(slot), slot.Flags&wire.Xrun != 0, n)
		if !ready {
			continue
		}
		f.s.shift.Add(lost)
		if err := f.send(); err != nil {
			return err
		}
		if err := f.lag.note(f.old, float64(n)/audio.Rate); err != nil {
			return err
		}
	}
	return nil
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
	shift := f.s.shift.Load()
	for i := range f.held {
		slot := f.s.in.At(i)
		h := wire.BlockHead{
			Index: slot.Index + shift, Frames: len(slot.Samples), Flags: slot.Flags,
			Clock: slot.Clock, ADC: slot.ADC, Now: slot.Now, DAC: slot.DAC,
			Missing: slot.Missing, Late: f.s.out.Late(),
		}
		if err := f.w.Block(&h, slot.Samples); err != nil {
			return err
		}
	}
	f.s.in.Release(f.held)
	f.held = 0
	return nil
}

// pulse watches that callbacks go on.
type pulse struct {
	s    *stream
	seen int64
	at   time.Duration
}

func newPulse(s *stream) *pulse { return &pulse{s, s.callbacks.Load(), s.clock()} }

// lost says whether no callback has come for that long.
func (p *pulse) lost(limit time.Duration) bool {
	now := p.s.clock()
	if n := p.s.callbacks.Load(); n != p.seen {
		p.seen, p.at = n, now
	}
	return now-p.at > limit
}
