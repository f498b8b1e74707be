//go:build !linux

package engine

import "time"

// tick comes regularly.
type tick struct{ *time.Ticker }

func newTick(every time.Duration) tick { return tick{time.NewTicker(every)} }

// wait returns with the next tick; those that nobody waited for are left out.
func (t tick) wait() { <-t.C }
