package logbook

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// Tags of the events in a chunk: the low three bits of an event's first byte.
// The upper five hold small values of the event. They are part of the file
// format and must not change without a migration.
const (
	tagStep = iota + 1
	tagRhythm
	tagGap
	tagMark
	tagFault
	tagBeat
	tagCue
)

const (
	flagShift = 3
	flagHeard = 4 // of a step, above its two bits of side
)

// maxFloats is the number of float fields of the richest event.
const maxFloats = 7

// history is the last value of every float field, by tag: a float is stored as
// what differs from it. It starts at zero in every chunk.
type history [tagCue + 1][maxFloats]uint64

// encoder appends events to one chunk.
type encoder struct {
	buf  []byte
	n    int // events in buf
	last history
}

// add appends e. On an error the chunk is as it was.
func (c *encoder) add(e event.Event) error {
	if err := check(e); err != nil {
		return err
	}
	switch e := e.(type) {
	case event.Step:
		flags := byte(e.Side)
		if e.Heard {
			flags |= flagHeard
		}
		c.open(tagStep, flags)
		c.float(tagStep, 0, e.T)
		c.float(tagStep, 1, e.Confidence)
	case event.Rhythm:
		c.open(tagRhythm, byte(e.State))
		for i, v := range rhythmFloats(&e) {
			c.float(tagRhythm, i, *v)
		}
	case event.Gap:
		c.open(tagGap, 0)
		c.float(tagGap, 0, e.T)
		c.float(tagGap, 1, e.Length)
		c.text(e.Reason)
	case event.Mark:
		c.open(tagMark, 0)
		c.float(tagMark, 0, e.T)
		c.text(e.Name)
		c.text(e.Note)
	case event.Fault:
		c.open(tagFault, 0)
		c.float(tagFault, 0, e.T)
		c.text(e.What)
	case event.Beat:
		c.open(tagBeat, byte(e.Side))
		c.float(tagBeat, 0, e.T)
		c.float(tagBeat, 1, e.Start)
		c.float(tagBeat, 2, e.Period)
	case event.Cue:
		c.open(tagCue, 0)
		c.float(tagCue, 0, e.T)
		c.text(e.Name)
		c.text(e.Reason)
	}
	c.n++
	return nil
}

func (c *encoder) open(tag, flags byte) { c.buf = append(c.buf, tag|flags<<flagShift) }

// float appends v as the bytes in which it differs from the last value of the
// field: one byte with the number of equal bytes in front (upper half) and of
// bytes that follow (lower half), then these. Equal bytes at the end are left
// out as well, so a round number or an unchanged one is short.
func (c *encoder) float(tag, field int, v float64) {
	b := math.Float64bits(v)
	x := b ^ c.last[tag][field]
	c.last[tag][field] = b
	if x == 0 {
		c.buf = append(c.buf, 0)
		return
	}
	lead, trail := bits.LeadingZeros64(x)/8, bits.TrailingZeros64(x)/8
	n := 8 - lead - trail
	c.buf = append(c.buf, byte(lead<<4|n))
	for i := n - 1; i >= 0; i-- {
		c.buf = append(c.buf, byte(x>>(8*(trail+i))))
	}
}

func (c *encoder) text(s string) {
	c.buf = binary.AppendUvarint(c.buf, uint64(len(s)))
	c.buf = append(c.buf, s...)
}

// rhythmFloats lists the float fields of a rhythm in the order they are stored.
func rhythmFloats(e *event.Rhythm) [maxFloats]*float64 {
	return [maxFloats]*float64{&e.T, &e.Cadence, &e.CadenceSD, &e.Unevenness, &e.Variability, &e.Heard, &e.Pace}
}

// check refuses what could not be read back or written as JSON.
func check(e event.Event) error {
	var sum float64 // NaN or infinite when one of the numbers is
	side, state := detect.Unknown, detect.NotWalking
	switch e := e.(type) {
	case event.Step:
		sum, side = poison(e.T, e.Confidence), e.Side
	case event.Rhythm:
		state = e.State
		for _, v := range rhythmFloats(&e) {
			sum += *v * 0
		}
	case event.Gap:
		sum = poison(e.T, e.Length)
	case event.Mark:
		sum = poison(e.T)
	case event.Fault:
		sum = poison(e.T)
	case event.Beat:
		sum, side = poison(e.T, e.Start, e.Period), e.Side
	case event.Cue:
		sum = poison(e.T)
	default:
		return fmt.Errorf("event %T cannot be logged: unknown kind", e)
	}
	if sum != 0 {
		return fmt.Errorf("%s at %g s cannot be logged: a number in it is NaN or infinite", e.Kind(), e.At())
	}
	if side > detect.Right || state > detect.CannotHear {
		return fmt.Errorf("%s at %g s cannot be logged: unknown side or state", e.Kind(), e.At())
	}
	return nil
}

// poison is 0 when all numbers are finite and NaN otherwise.
func poison(v ...float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x * 0
	}
	return sum
}
