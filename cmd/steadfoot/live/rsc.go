package live

import (
	"fmt"

	"steadfoot/audio/sensor/rsc"
	"steadfoot/detect"
)

const (
	rscTick  = 0.5  // s between rhythm events, as a detector gives them
	rscSlack = 1e-6 // s by which a packet may miss its tick through rounding
)

// RSCEar takes the rhythm from the packets of a foot pod. They tell the cadence
// and not the single steps, so it gives rhythm events only.
type RSCEar struct {
	packets *rsc.Reader
	unit    rsc.Unit
	doubt   doubt

	start      float64    // sensor time of the first packet, s
	last, next rsc.Record // the latest two packets, in session time
	any        bool
	ticks      int // rhythm events given
	now        float64
}

// NewRSCEar returns an ear for packets whose cadence is in the unit.
func NewRSCEar(packets *rsc.Reader, unit rsc.Unit) *RSCEar {
	return &RSCEar{packets: packets, unit: unit}
}

// Next implements Ear. A piece ends at the next half second or, when there is
// none before it, at a packet. What a packet says holds until the one after it,
// for rsc.Hold at most.
func (e *RSCEar) Next(dst []detect.Event) ([]detect.Event, error) {
	t := float64(e.ticks) * rscTick
	if !e.any || t > e.next.T+rscSlack {
		e.now = max(e.now, e.next.T)
		if err := e.read(); err != nil {
			return dst, err
		}
	}
	if t > e.next.T+rscSlack {
		e.now = max(e.now, e.next.T)
		return dst, nil
	}
	e.ticks++
	e.now = t
	return append(dst, detect.Event{Kind: detect.KindRhythm, Rhythm: e.rhythm(t)}), nil
}

// read takes the next packet.
func (e *RSCEar) read() error {
	r, err := e.packets.Read()
	if err != nil {
		return err
	}
	if !e.any {
		e.any, e.start = true, r.T
	}
	r.T -= e.start
	e.last, e.next = e.next, r
	e.doubt.see(e.unit, r.Measurement)
	return nil
}

// rhythm is what the packet that holds at session time t says.
func (e *RSCEar) rhythm(t float64) detect.Rhythm {
	holds := e.last
	if t >= e.next.T-rscSlack {
		holds = e.next
	}
	return rhythmOf(t, holds, e.unit)
}

// rhythmOf is what a packet says at session time t.
func rhythmOf(t float64, holds rsc.Record, u rsc.Unit) detect.Rhythm {
	r := detect.Rhythm{T: t}
	switch {
	case t-holds.T > rsc.Hold:
		r.State = detect.CannotHear
	case holds.Cadence > 0:
		r.State, r.Heard = detect.Walking, 1
		r.Cadence = u.Cadence(float64(holds.Cadence))
		r.CadenceSD = u.CadenceSD()
	}
	return r
}

// Flush implements Ear: nothing is held back.
func (e *RSCEar) Flush(dst []detect.Event) []detect.Event { return dst }

// Now implements Ear.
func (e *RSCEar) Now() float64 { return e.now }

// Fault implements Ear: it tells once when the unit of the cadence seems wrong.
func (e *RSCEar) Fault() string {
	if !e.doubt.sure() || e.doubt.told {
		return ""
	}
	e.doubt.told = true
	return e.packets.Name() + ": " + e.doubt.hint
}

// Warnings are those of the packets, and what Fault was not asked for. Ask at
// the end.
func (e *RSCEar) Warnings() []string {
	all := e.packets.Warnings()
	if d := &e.doubt; !d.told && (d.sure() || d.always()) {
		all = append(all, e.packets.Name()+": "+d.hint)
	}
	return all
}

const (
	// A step length outside of these, in m, is hardly a walk's; half or double
	// of it often is. Race walkers take 0.7 to 1.4 m.
	shortestStep = 0.5
	longestStep  = 1.6
	oddInARow    = 3 // packets: speed and cadence do not change together when setting off
)

// doubt looks whether the unit of the cadence can be right.
type doubt struct {
	judged  int // packets with speed and cadence
	odd     int // of these, the last in a row that are unlikely
	longest int // of such rows
	hint    string
	told    bool
}

func (d *doubt) see(u rsc.Unit, m rsc.Measurement) {
	length, cadence := u.StepLength(m), u.Cadence(float64(m.Cadence))
	if length == 0 {
		return
	}
	d.judged++
	tooQuick := u == rsc.Strides && cadence > detect.Fastest
	if length >= shortestStep && length <= longestStep && !tooQuick {
		d.odd = 0
		return
	}
	d.odd++
	if d.longest = max(d.longest, d.odd); d.longest == d.odd {
		d.hint = fmt.Sprintf("%.2f m/s at %.0f steps/min would be steps of %.2f m; if they are not, try --rsc-unit %s",
			m.Speed, cadence, length, u.Other())
	}
}

// sure tells whether enough packets in a row were unlikely.
func (d *doubt) sure() bool { return d.longest >= oddInARow }

// always tells whether all packets were, however few.
func (d *doubt) always() bool { return d.odd > 0 && d.odd == d.judged }
