package live

import (
	"context"
	"time"

	"steadfoot/audio"
)

// Tick waits a moment and returns the session time, s. An error ends the walk.
// It moves a walk on whose sensor may fall silent.
type Tick func() (now float64, err error)

// TickOf is the clock of a source that gives sound, or silence, at its own pace:
// that of a device which plays the beat.
func TickOf(src audio.Source) Tick {
	var b audio.Block
	return func() (float64, error) {
		err := src.Read(&b)
		return float64(b.Index+int64(len(b.Samples))) / float64(src.Rate()), err
	}
}

// tickMost is how long a tick waits for a sensor.
const tickMost = 20 * time.Millisecond

// TickOn is a clock that started with the first call and goes on when ready has a
// value, or else some times a second. It ends with ctx.
func TickOn(ctx context.Context, clock func() time.Duration, ready <-chan struct{}) Tick {
	start := time.Duration(-1)
	timer := time.NewTimer(tickMost)
	return func() (float64, error) {
		if start < 0 {
			start = clock()
		}
		timer.Reset(tickMost)
		select {
		case <-ready:
		case <-timer.C:
		case <-ctx.Done():
			return (clock() - start).Seconds(), ctx.Err()
		}
		return (clock() - start).Seconds(), nil
	}
}
