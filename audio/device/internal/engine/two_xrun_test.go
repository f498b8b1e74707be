package engine

import (
	"slices"
	"testing"
	"time"

	"steadfoot/audio/device/internal/wire"
)

// xrun lets the device lose time before its next callback.
func (d *side) xrun(lost float64, flags uint32) {
	d.from = append(d.from, d.n)
	d.gap = append(d.gap, d.gap[len(d.gap)-1]+lost)
	d.flags |= flags
}

// After an xrun of either side the beat is back where it belongs, as soon as
// the loss is told from a delay: within 50 ms, here a fifth of a second. A beat in
// that time, or one that was to sound while a device stood still, is lost.
func TestBeatsOutliveXruns(t *testing.T) {
	w := newWalker(side{ppm: -100, jitter: 0.003, told: 0.0003}.seeded(1), side{ppm: 200, jitter: 0.003, told: 0.0003}.seeded(2))
	var xruns []float64
	for until := 120.0; until < min(hours, 1)*3600; until += 60.12 { // at every phase of the beat
		w.run(t, until)
		xruns = append(xruns, until)
		switch len(xruns) % 5 {
		case 0:
			w.in.xrun(0.092, wire.InputOverflow)
		case 1:
			w.out.xrun(0.040, wire.OutputUnderflow)
		case 2:
			w.out.xrun(0.800, 0) // it stood still and does not say so
		case 3:
			w.in.xrun(0.007, wire.InputOverflow)
		case 4:
			w.in.flags, w.out.flags = wire.InputOverflow, wire.OutputUnderflow // and nothing is lost
		}
	}
	before := len(w.clicks)
	w.clicks = slices.DeleteFunc(w.clicks, func(c float64) bool {
		at := w.out.at(c)
		k, _ := slices.BinarySearch(xruns, at)
		return k > 0 && at-xruns[k-1] < 0.8+buffered+0.2
	})
	t.Logf("%d xruns, %d beats near them", len(xruns), before-len(w.clicks))
	// How much was lost is known within some tenths of a millisecond at first; that
	// is slewed within seconds.
	w.check(t, 1e-3, 4*len(xruns))
}

// Neither callback of two devices allocates, while it plays, slides or jumps.
func TestTwoCallbacksAllocateNothing(t *testing.T) {
	w := newWalker(side{jitter: 0.003, told: 0.0003}.seeded(1), side{ppm: 300, jitter: 0.003, told: 0.0003}.seeded(2))
	w.run(t, 5)
	for i := range w.buf {
		w.buf[i] = [2]float32{1, 1}
	}
	at := w.s.pair.slide.aim
	n := 0
	if got := testing.AllocsPerRun(500, func() {
		n++
		w.s.out.Put(w.written, w.buf) // sound, not silence, goes out
		w.written += int64(len(w.buf))
		w.s.process(w.hear, nil, 0, Call{ADC: 1, Now: 2}, 0)
		if n%50 == 0 {
			at.place += 4800
			w.s.pair.aim.set(at)
		}
		w.s.process(nil, w.ear, 2, Call{Now: 2, DAC: 3}, wire.OutputUnderflow)
		w.s.in.Release(w.s.in.Len())
		w.s.pair.stamps.Release(w.s.pair.stamps.Len())
	}); got != 0 {
		t.Errorf("%v allocations", got)
	}
}

// The dearest callback: every frame is read between samples.
func BenchmarkSlidingCallback(b *testing.B) {
	start := time.Now()
	s := newStream(period, func() time.Duration { return time.Since(start) })
	s.pair = newPair(s.out)
	s.running.Store(1)
	s.pair.aim.set(aim{ratio: 1.0003, place: 0.5})
	ear := make([]float32, 2*period)
	frames := make([][2]float32, period+1)
	for i := range frames {
		frames[i] = [2]float32{1, -1}
	}
	at := int64(0)
	b.ReportAllocs()
	for b.Loop() {
		at += int64(s.out.Put(at, frames))
		s.process(nil, ear, 2, Call{}, 0)
		s.pair.stamps.Release(1)
	}
}
