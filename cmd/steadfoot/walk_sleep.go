package main

import (
	"fmt"
	"time"

	"steadfoot/coach/event"
)

const (
	sleepLeast = time.Second // the shortest sleep of the machine that is told
	sleepLook  = time.Second // how often it is looked for: a look is a system call
)

// sleepWatch sees that the machine has slept. The sound, and with it the walk's time,
// stood still meanwhile, and nothing else would tell.
type sleepWatch struct {
	through func() time.Duration // a clock that runs on in sleep
	awake   func() time.Duration // one that does not
	ahead   time.Duration        // of through, when it was looked at last
	looked  time.Duration        // when that was, by awake
}

func newSleepWatch(through, awake func() time.Duration) *sleepWatch {
	return &sleepWatch{through: through, awake: awake, ahead: through() - awake()}
}

// and makes a live.Walk's Trouble tell of sleep before all else.
func (s *sleepWatch) and(others func() event.Fault) func() event.Fault {
	return func() event.Fault {
		now := s.awake()
		if now-s.looked < sleepLook {
			return others()
		}
		s.looked = now
		ahead := s.through() - now
		slept := ahead - s.ahead
		if slept < sleepLeast {
			return others()
		}
		s.ahead = ahead
		return event.Fault{What: fmt.Sprintf("the machine was asleep for %v; the walk's time stood still meanwhile", slept.Round(time.Second))}
	}
}
