// Package timebase tells how a sound device's sample clock runs against the
// machine's monotonic clock, from when its blocks arrive.
//
// A [Line] is the best estimate at any moment and may jump as it learns. A
// [Timebase] follows it without a jump, so that a beat placed by it never
// stumbles. Both are plain values: no clock of their own, no goroutine.
package timebase

import (
	"math"
	"time"
)

const (
	slewRate = 1000e-6 // the most by which the mapping bends from the line's slope
	slewTime = 2.0     // seconds in which a small difference falls to 1/e
)

// Timebase maps session time (sample index / rate, in seconds) to a monotonic
// clock and back. It is monotone and continuous: what it learns is slewed in,
// at most 1 ms a second. Only in the first second, and in the one after a gap
// told to it by Gap or Restart, may it step. It is for one goroutine at a time;
// see [New].
type Timebase struct {
	line *Line
	rate float64
	free bool    // the mapping may still move at once
	off  float64 // seconds the mapping lies over the line at from
	from float64 // place, in samples
}

// New returns a Timebase for a clock of the given nominal rate in Hz.
func New(rate float64) *Timebase {
	return &Timebase{line: NewLine(rate), rate: rate, free: true}
}

// Add takes that the sample before index end, the last one of a block, was
// captured, or arrived, at that time. It allocates nothing.
func (b *Timebase) Add(end int64, t time.Duration) {
	before := b.timeOf(float64(end))
	if !b.line.Add(end, t) {
		return
	}
	b.off, b.from = before-b.line.seconds(float64(end)), float64(end)
	if b.free {
		b.off = 0
		b.free = b.line.count < youth/2
	}
}

// Gap tells that samples were lost before the next pair.
func (b *Timebase) Gap() {
	b.line.Gap()
	b.free = true
}

// Restart tells that the next pair may be of another device.
func (b *Timebase) Restart() {
	b.line.Restart()
	b.free = true
}

// Known says whether there has been a pair; before, the mapping has no meaning.
func (b *Timebase) Known() bool { return b.line.Known() }

// Time is when session time s, in seconds, is on the monotonic clock.
func (b *Timebase) Time(s float64) time.Duration {
	return time.Duration(math.Round(1e9 * b.timeOf(s*b.rate)))
}

// Session is the session time in seconds at a time of the monotonic clock:
// the inverse of Time.
func (b *Timebase) Session(t time.Duration) float64 {
	// The mapping bends from the line by a thousandth at most, so each round
	// is a thousand times nearer.
	index := b.line.Index(t)
	for range 4 {
		index = b.line.Index(t - time.Duration(math.Round(1e9*b.over(index))))
	}
	return index / b.rate
}

// timeOf is in seconds of the monotonic clock.
func (b *Timebase) timeOf(index float64) float64 {
	return b.line.seconds(index) + b.over(index)
}

// over is how far the mapping lies over the line at a place, in seconds. It
// falls at slewRate, and by slewTime when it is small.
func (b *Timebase) over(index float64) float64 {
	dx := (index - b.from) / b.rate
	size, knee := math.Abs(b.off), slewRate*slewTime
	switch {
	case dx < 0: // on as it began
		size -= dx * min(slewRate, size/slewTime)
	case size > knee:
		straight := min(dx, (size-knee)/slewRate)
		size = (size - slewRate*straight) * math.Exp(-(dx-straight)/slewTime)
	default:
		size *= math.Exp(-dx / slewTime)
	}
	return math.Copysign(size, b.off)
}

// Quality says how well a Timebase knows.
type Quality struct {
	// PPM is how much faster than its nominal rate the sample clock runs
	// against the monotonic clock, in millionths, and PPMSD the standard error.
	PPM   float64 `json:"ppm"`
	PPMSD float64 `json:"ppm_sd"`
	// SD is the standard error of Time now, in seconds, with what is still to
	// be slewed. It does not know of a delay that all arrivals share.
	SD float64 `json:"sd"`
}

// Quality of the mapping at the last pair; the zero Quality before the first.
func (b *Timebase) Quality() Quality {
	if !b.Known() {
		return Quality{}
	}
	ppm, sd := b.line.PPM()
	at := float64(b.line.Last())
	return Quality{PPM: ppm, PPMSD: sd, SD: b.line.SD(at) + math.Abs(b.over(at))}
}
