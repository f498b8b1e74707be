package engine

import (
	"fmt"
	"math"
	"time"

	"steadfoot/audio/device/internal/ring"
)

// age is how long before the callback the slot's last sample was captured, by
// the device's own clock, in seconds; ok is false when the device does not say.
func age(s *ring.Slot, rate float64) (sec float64, ok bool) {
	if s.ADC == 0 || s.Now == 0 {
		return 0, false
	}
	d := time.Duration(s.Now - s.ADC)
	if d < -time.Second || d > time.Minute {
		return 0, false
	}
	return d.Seconds() - float64(len(s.Samples))/rate, true
}

const (
	lagGrowth = 0.060 // seconds
	lagFirst  = 1.0   // seconds of stream that give the usual lag
	lagFor    = 0.5   // seconds the growth must last
)

// lagWatch watches how far the input lies behind. Some sound servers keep what
// was not fetched during a stall, and a duplex stream never catches up: from
// then on the walker is heard, and a beat answered, late. Only a new stream
// helps.
type lagWatch struct {
	usual, heard, over float64 // seconds
}

// note takes the lag of a callback that stands for length seconds.
func (w *lagWatch) note(lag, length float64) error {
	if w.heard == 0 {
		w.usual = math.Inf(1)
	}
	if w.heard += length; w.heard <= lagFirst {
		w.usual = min(w.usual, lag)
		return nil
	}
	if lag-w.usual < lagGrowth {
		w.over = 0
		return nil
	}
	if w.over += length; w.over < lagFor {
		return nil
	}
	return fmt.Errorf("the device fell %.0f ms behind", 1000*(lag-w.usual))
}
