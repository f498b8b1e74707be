package logbook

import (
	"encoding/binary"
	"errors"
	"math"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// errDamaged is given for bytes the encoder cannot have written.
var errDamaged = errors.New("damaged chunk")

// decoder takes the events out of one chunk.
type decoder struct {
	buf  []byte
	last history
	bad  bool
}

// next returns the next event. It must not be called when buf is empty.
func (d *decoder) next() (event.Event, error) {
	head := d.byte()
	tag, flags := int(head&(1<<flagShift-1)), head>>flagShift
	e := d.event(tag, flags)
	if d.bad || e == nil {
		return nil, errDamaged
	}
	if check(e) != nil {
		return nil, errDamaged
	}
	return e, nil
}

// event reads the body of an event; the order of the fields is the encoder's.
func (d *decoder) event(tag int, flags byte) event.Event {
	switch tag {
	case tagStep:
		var e event.Step
		e.Side, e.Heard = detect.Side(flags&^flagHeard), flags&flagHeard != 0
		e.T = d.float(tag, 0)
		e.Confidence = d.float(tag, 1)
		return e
	case tagRhythm:
		e := event.Rhythm{}
		e.State = detect.State(flags &^ flagMore)
		for i, v := range rhythmFloats(&e, flags&flagMore != 0) {
			*v = d.float(tag, i)
		}
		return e
	case tagGap:
		var e event.Gap
		e.T = d.float(tag, 0)
		e.Length = d.float(tag, 1)
		e.Reason = d.text()
		return e
	case tagMark:
		e := event.Mark{T: d.float(tag, 0), Name: d.text(), Note: d.text()}
		if flags&flagMore != 0 {
			e.Value = d.float(tag, 1)
		}
		return e
	case tagFault:
		e := event.Fault{T: d.float(tag, 0), What: d.text()}
		if flags&flagMore != 0 {
			e.Code = d.text()
		}
		return e
	case tagBeat:
		e := event.Beat{T: d.float(tag, 0), Start: d.float(tag, 1), Period: d.float(tag, 2), Side: detect.Side(flags &^ flagMore)}
		if flags&flagMore != 0 {
			e.N, e.Level = d.int(), d.float(tag, 3)
		}
		return e
	case tagCue:
		e := event.Cue{T: d.float(tag, 0), Name: d.text(), Reason: d.text()}
		if flags&flagMore != 0 {
			e.Value, e.Line = d.float(tag, 1), d.text()
		}
		return e
	}
	return d.other(flags)
}

// other reads the body of a kind under tagOther.
func (d *decoder) other(kind byte) event.Event {
	switch kind {
	case otherPart:
		var e event.Part
		d.floats(&e.T, &e.Length, &e.Duration, &e.Distance)
		e.Role, e.Label = d.text(), d.text()
		e.N, e.Set, e.Rep, e.Of = d.int(), d.int(), d.int(), d.int()
		return e
	case otherTarget:
		var e event.Target
		d.floats(&e.T, &e.Cadence, &e.Low, &e.High, &e.Pace)
		e.Reason = d.text()
		return e
	case otherLap:
		var e event.Lap
		d.floats(&e.T, &e.Distance, &e.Time, &e.StepLength)
		e.Steps = d.int()
		return e
	case otherShared:
		return d.shared()
	case otherCall:
		var e event.Call
		d.floats(&e.T, &e.Due, &e.Value)
		e.Name, e.Line = d.text(), d.text()
		return e
	}
	return nil
}

func (d *decoder) floats(list ...*float64) {
	for i, v := range list {
		*v = d.float(tagOther, i)
	}
}

// int reads a small whole number; one that is too large for it is damage.
func (d *decoder) int() int {
	v, n := binary.Varint(d.buf)
	if n <= 0 || v > math.MaxInt32 || v < math.MinInt32 {
		d.bad = true
		return 0
	}
	d.buf = d.buf[n:]
	return int(v)
}

func (d *decoder) byte() byte {
	b := d.bytes(1)
	if b == nil {
		return 0
	}
	return b[0]
}

// bytes takes n bytes, or marks the chunk bad and returns nil.
func (d *decoder) bytes(n uint64) []byte {
	if n > uint64(len(d.buf)) {
		d.bad = true
		return nil
	}
	b := d.buf[:n]
	d.buf = d.buf[n:]
	return b
}

func (d *decoder) float(tag, field int) float64 {
	head := d.byte()
	lead, n := int(head>>4), int(head&15)
	if lead+n > 8 {
		d.bad = true
		return 0
	}
	var x uint64
	for _, b := range d.bytes(uint64(n)) {
		x = x<<8 | uint64(b)
	}
	x <<= 8 * (8 - lead - n)
	d.last[tag][field] ^= x
	return math.Float64frombits(d.last[tag][field])
}

func (d *decoder) text() string {
	n, size := binary.Uvarint(d.buf)
	if size <= 0 {
		d.bad = true
		return ""
	}
	d.buf = d.buf[size:]
	return string(d.bytes(n))
}
