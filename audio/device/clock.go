package device

import (
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
	"steadfoot/audio/device/timebase"
)

// sessionClock learns how the session's sample clock runs against
// Options.Clock.
type sessionClock struct {
	base *timebase.Timebase
	// later is what the sound process's own monotonic clock is behind
	// Options.Clock: both run alike, and the quickest frame tells most.
	later time.Duration
	some  bool
}

// restart tells that the next block is of a new sound process.
func (c *sessionClock) restart() {
	c.base.Restart()
	c.some = false
}

// note takes a block whose last sample is before session index end.
func (c *sessionClock) note(h *wire.BlockHead, arrival time.Duration, end int64, lost bool) {
	if later := arrival - time.Duration(h.Sent); !c.some || later < c.later {
		c.later, c.some = later, true
	}
	if lost {
		c.base.Gap()
	}
	c.base.Add(end, time.Duration(h.Clock)-h.Age()+c.later)
}

// SessionAt is the session time, in seconds, at a time of Options.Clock: what
// the microphone takes at that time stands at this place of the input, as far as
// the device tells how old its sound is. The output sample of the same place is
// heard Stats.RoundTrip later, or Stats.OutputLatency later where the microphone
// is closed. ok is false before the first Read has returned.
//
// Times to come may be asked for. The answer follows the device's crystal and
// never steps, but for the second after the start, a gap or a restart of the
// sound process; else it is slewed by 1 ms a second at most. It is safe to call
// at any time.
func (d *Duplex) SessionAt(mono time.Duration) (s float64, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.clock.base.Known() {
		return 0, false
	}
	return d.clock.base.Session(mono), true
}

// TimeAt is when session time s, in seconds, is on Options.Clock: the inverse of
// SessionAt.
func (d *Duplex) TimeAt(s float64) (mono time.Duration, ok bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.clock.base.Known() {
		return 0, false
	}
	return d.clock.base.Time(s), true
}

func newSessionClock() sessionClock { return sessionClock{base: timebase.New(audio.Rate)} }
