package main

import (
	"testing"
	"time"

	"steadfoot/coach/event"
)

// TestSleepWatch: a sleep is told once, and time that passes is none.
func TestSleepWatch(t *testing.T) {
	var awake, slept time.Duration
	slept = time.Hour // before the walk
	s := newSleepWatch(func() time.Duration { return awake + slept }, func() time.Duration { return awake })
	others := 0
	trouble := s.and(func() event.Fault { others++; return event.Fault{} })
	for _, c := range []struct {
		awake, slept time.Duration
		want         string
	}{
		{awake: 3 * time.Hour},
		{slept: 20 * time.Millisecond}, // the two clocks are not read at once
		{slept: 10*time.Minute + 300*time.Millisecond, want: "the machine was asleep for 10m0s; the walk's time stood still meanwhile"},
		{awake: time.Second},
		{slept: 2 * time.Second, want: "the machine was asleep for 2s; the walk's time stood still meanwhile"},
	} {
		awake, slept = awake+c.awake+sleepLook, slept+c.slept
		before := others
		if got := trouble().What; got != c.want {
			t.Errorf("after %+v: %q", c, got)
		}
		if asked := others > before; asked != (c.want == "") {
			t.Errorf("after %+v the others were asked: %v", c, asked)
		}
		if again := trouble().What; again != "" {
			t.Errorf("after %+v once more %q", c, again)
		}
	}
}
