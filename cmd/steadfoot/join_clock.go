package main

import (
	"context"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/timebase"
)

// pacedClock is the session's clock where a file is gone through at real time.
type pacedClock struct {
	clock func() time.Duration
	zero  time.Duration // when the session began
	begun bool
}

// pace is for live.Walk's Pace: it holds the walk back to the speed of the clock.
func (c *pacedClock) pace(ctx context.Context, now float64) error {
	at := time.Duration(now * 1e9)
	if !c.begun {
		c.begun, c.zero = true, c.clock()-at
	}
	wait := c.zero + at - c.clock()
	if wait <= 0 {
		return nil
	}
	select {
	case <-time.After(wait):
	case <-ctx.Done():
	}
	return nil
}

// SessionAt implements sessionClock.
func (c *pacedClock) SessionAt(mono time.Duration) (float64, bool) {
	return (mono - c.zero).Seconds(), c.begun
}

// heardClock is the session's clock where the input has a pace of its own, as a
// pipe has: by when its pieces came.
type heardClock struct{ base *timebase.Timebase }

func newHeardClock() *heardClock { return &heardClock{timebase.New(audio.Rate)} }

// heard takes that the session has come to now.
func (c *heardClock) heard(now float64, mono time.Duration) {
	c.base.Add(int64(now*audio.Rate), mono)
}

// SessionAt implements sessionClock.
func (c *heardClock) SessionAt(mono time.Duration) (float64, bool) {
	if !c.base.Known() {
		return 0, false
	}
	return c.base.Session(mono), true
}
