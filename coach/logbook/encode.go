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

	tagOther = 0 // the flags then say which of those below
)

// Kinds that tagOther stands for, in the upper five bits of the first byte.
const (
	otherPart = iota + 1
	otherTarget
	otherLap
	otherShared
	otherCall
)

const (
	flagShift = 3
	flagHeard = 4 // of a step, above its two bits of side
	flagMore  = 4 // of the others: fields follow that version 1 of the store did not have
)

const (
	maxFloats    = 23 // float fields of the richest event
	rhythmFields = 8  // of a rhythm

	// rowShared is the row of history of event.Shared, which has many fields that
	// seldom change.
	rowShared = tagCue + 1
)

// history is the last value of every float field, by tag: a float is stored as
// what differs from it. It starts at zero in every chunk. The other kinds under
// tagOther are rare and share a row.
type history [rowShared + 1][maxFloats]uint64

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
		more := math.Float64bits(e.Distance) != 0
		c.open(tagRhythm, byte(e.State)|flag(more))
		for i, v := range rhythmFloats(&e, more) {
			c.float(tagRhythm, i, *v)
		}
	case event.Gap:
		c.open(tagGap, 0)
		c.float(tagGap, 0, e.T)
		c.float(tagGap, 1, e.Length)
		c.text(e.Reason)
	case event.Mark:
		more := math.Float64bits(e.Value) != 0
		c.open(tagMark, flag(more))
		c.float(tagMark, 0, e.T)
		c.text(e.Name)
		c.text(e.Note)
		if more {
			c.float(tagMark, 1, e.Value)
		}
	case event.Fault:
		more := e.Code != ""
		c.open(tagFault, flag(more))
		c.float(tagFault, 0, e.T)
		c.text(e.What)
		if more {
			c.text(e.Code)
		}
	case event.Beat:
		more := e.N != 0 || math.Float64bits(e.Level) != 0
		c.open(tagBeat, byte(e.Side)|flag(more))
		c.float(tagBeat, 0, e.T)
		c.float(tagBeat, 1, e.Start)
		c.float(tagBeat, 2, e.Period)
		if more {
			c.int(e.N)
			c.float(tagBeat, 3, e.Level)
		}
	case event.Cue:
		more := math.Float64bits(e.Value) != 0 || e.Line != ""
		c.open(tagCue, flag(more))
		c.float(tagCue, 0, e.T)
		c.text(e.Name)
		c.text(e.Reason)
		if more {
			c.float(tagCue, 1, e.Value)
			c.text(e.Line)
		}
	default:
		c.other(e)
	}
	c.n++
	return nil
}

// other appends the kinds under tagOther.
func (c *encoder) other(e event.Event) {
	switch e := e.(type) {
	case event.Part:
		c.open(tagOther, otherPart)
		c.floats(e.T, e.Length, e.Duration, e.Distance)
		c.text(e.Role)
		c.text(e.Label)
		c.int(e.N)
		c.int(e.Set)
		c.int(e.Rep)
		c.int(e.Of)
	case event.Target:
		c.open(tagOther, otherTarget)
		c.floats(e.T, e.Cadence, e.Low, e.High, e.Pace)
		c.text(e.Reason)
	case event.Lap:
		c.open(tagOther, otherLap)
		c.floats(e.T, e.Distance, e.Time, e.StepLength)
		c.int(e.Steps)
	case event.Shared:
		c.shared(e)
	case event.Call:
		c.open(tagOther, otherCall)
		c.floats(e.T, e.Due, e.Value)
		c.text(e.Name)
		c.text(e.Line)
	}
}

// flag is flagMore when more is true.
func flag(more bool) byte {
	if more {
		return flagMore
	}
	return 0
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

// floats appends fields of a kind under tagOther.
func (c *encoder) floats(list ...float64) {
	for i, v := range list {
		c.float(tagOther, i, v)
	}
}

func (c *encoder) int(n int) { c.buf = binary.AppendVarint(c.buf, int64(n)) }

func (c *encoder) text(s string) {
	c.buf = binary.AppendUvarint(c.buf, uint64(len(s)))
	c.buf = append(c.buf, s...)
}

// rhythmFloats lists the float fields of a rhythm in the order they are stored;
// more adds what version 1 of the store did not have.
func rhythmFloats(e *event.Rhythm, more bool) []*float64 {
	all := [rhythmFields]*float64{&e.T, &e.Cadence, &e.CadenceSD, &e.Unevenness, &e.Variability, &e.Heard, &e.Pace, &e.Distance}
	if !more {
		return all[:rhythmFields-1]
	}
	return all[:]
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
		for _, v := range rhythmFloats(&e, true) {
			sum += *v * 0
		}
	case event.Gap:
		sum = poison(e.T, e.Length)
	case event.Mark:
		sum = poison(e.T, e.Value)
	case event.Fault:
		sum = poison(e.T)
	case event.Beat:
		sum, side = poison(e.T, e.Start, e.Period, e.Level), e.Side
	case event.Cue:
		sum = poison(e.T, e.Value)
	case event.Part:
		sum = poison(e.T, e.Length, e.Duration, e.Distance)
	case event.Target:
		sum = poison(e.T, e.Cadence, e.Low, e.High, e.Pace)
	case event.Lap:
		sum = poison(e.T, e.Distance, e.Time, e.StepLength)
	case event.Shared:
		for _, v := range sharedFloats(&e) {
			sum += *v * 0
		}
		side = max(e.Beat.Side, e.Then.Side, e.Foot)
	case event.Call:
		sum = poison(e.T, e.Due, e.Value)
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
