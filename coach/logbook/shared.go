package logbook

import (
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// sharedFloats lists the float fields in the order they are stored.
func sharedFloats(e *event.Shared) [maxFloats]*float64 {
	b, then, target, part, next := &e.Beat, &e.Then, &e.Target, &e.Part, &e.Next
	return [...]*float64{
		&e.T, &e.Ends,
		&b.T, &b.Start, &b.Period, &b.Level,
		&then.T, &then.Start, &then.Period, &then.Level,
		&target.T, &target.Cadence, &target.Low, &target.High, &target.Pace,
		&part.T, &part.Length, &part.Duration, &part.Distance,
		&next.T, &next.Length, &next.Duration, &next.Distance,
	}
}

// sharedInts and sharedTexts list the others likewise.
func sharedInts(e *event.Shared) [12]*int {
	part, next := &e.Part, &e.Next
	return [...]*int{
		&e.Beat.N, &e.Then.N, &e.Every, &e.Accent,
		&part.N, &part.Set, &part.Rep, &part.Of, &next.N, &next.Set, &next.Rep, &next.Of,
	}
}

func sharedTexts(e *event.Shared) [5]*string {
	return [...]*string{&e.Target.Reason, &e.Part.Role, &e.Part.Label, &e.Next.Role, &e.Next.Label}
}

// shared appends e. The sides and whether it is paused are in one byte.
func (c *encoder) shared(e event.Shared) {
	c.open(tagOther, otherShared)
	small := byte(e.Beat.Side) | byte(e.Then.Side)<<2 | byte(e.Foot)<<4
	if e.Paused {
		small |= 1 << 6
	}
	c.buf = append(c.buf, small)
	for i, v := range sharedFloats(&e) {
		c.float(rowShared, i, *v)
	}
	for _, v := range sharedInts(&e) {
		c.int(*v)
	}
	for _, v := range sharedTexts(&e) {
		c.text(*v)
	}
}

// shared reads what the encoder's shared has written.
func (d *decoder) shared() event.Event {
	var e event.Shared
	small := d.byte()
	e.Beat.Side, e.Then.Side, e.Foot = detect.Side(small&3), detect.Side(small>>2&3), detect.Side(small>>4&3)
	e.Paused = small>>6 == 1
	d.bad = d.bad || small>>6 > 1
	for i, v := range sharedFloats(&e) {
		*v = d.float(rowShared, i)
	}
	for _, v := range sharedInts(&e) {
		*v = d.int()
	}
	for _, v := range sharedTexts(&e) {
		*v = d.text()
	}
	return e
}
