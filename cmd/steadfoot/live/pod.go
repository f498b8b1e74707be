package live

import (
	"steadfoot/audio/sensor/rsc"
	"steadfoot/detect"
)

// Packets brings what a foot pod sends, without waiting.
type Packets interface {
	Name() string
	// Next returns the next packet, an RSC measurement; false when none has come.
	Next() ([]byte, bool)
	// Trouble is what has gone wrong or come right again, in one line.
	Trouble() string
}

// PodEar takes the rhythm from a foot pod that is worn right now. Its packets have
// no time: they hold from when they come.
type PodEar struct {
	packets Packets
	unit    rsc.Unit
	tick    Tick
	doubt   doubt

	holds  rsc.Record
	ticks  int // rhythm events given
	now    float64
	got    int // packets
	broken int // that are no measurements
}

// NewPodEar returns an ear for packets whose cadence is in the unit, moved on by
// tick.
func NewPodEar(packets Packets, unit rsc.Unit, tick Tick) *PodEar {
	e := &PodEar{packets: packets, unit: unit, tick: tick}
	e.holds.T = -2 * rsc.Hold // nothing is known yet
	return e
}

// Next implements Ear.
func (e *PodEar) Next(dst []detect.Event) ([]detect.Event, error) {
	now, err := e.tick()
	if err != nil {
		return dst, err
	}
	e.now = now
	for b, ok := e.packets.Next(); ok; b, ok = e.packets.Next() {
		m, err := rsc.Decode(b)
		if err != nil {
			e.broken++
			continue
		}
		e.got++
		e.holds = rsc.Record{T: now, Measurement: m}
		e.doubt.see(e.unit, m)
	}
	for t := float64(e.ticks) * rscTick; t <= now; t = float64(e.ticks) * rscTick {
		e.ticks++
		dst = append(dst, detect.Event{Kind: detect.KindRhythm, Rhythm: rhythmOf(t, e.holds, e.unit)})
	}
	return dst, nil
}

// Flush implements Ear: nothing is held back.
func (e *PodEar) Flush(dst []detect.Event) []detect.Event { return dst }

// Now implements Ear.
func (e *PodEar) Now() float64 { return e.now }

// Fault implements Ear.
func (e *PodEar) Fault() string {
	if what := e.packets.Trouble(); what != "" {
		return what
	}
	if !e.doubt.sure() || e.doubt.told {
		return ""
	}
	e.doubt.told = true
	return e.packets.Name() + ": " + e.doubt.hint
}

// Warnings tells at the end what was odd.
func (e *PodEar) Warnings() (all []string) {
	if e.got == 0 {
		all = append(all, e.packets.Name()+": no packet came")
	}
	if e.broken > 0 {
		all = append(all, e.packets.Name()+": some packets are no RSC measurements and were left out")
	}
	return all
}
