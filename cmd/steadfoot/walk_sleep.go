package main

import (
	"fmt"
	"time"

	"steadfoot/coach/event"
)

// sleepLeast is the shortest sleep of the machine that is told.
const sleepLeast = time.Second

// sleepWatch sees that the machine has slept. The sound, and with it the walk's time,
// stood still meanwhile, and nothing else would tell.
type sleepWatch struct {
	through func() time.Duration // a clock that runs on in sleep
	awake   func() time.Duration // one that does not
	ahead   time.Duration        // of through, when it was looked at last
}

func newSleepWatch(through, awake func() time.Duration) *sleepWatch {
	return &sleepWatch{through: through, awake: awake, ahead: through() - awake()}
}

// and makes a live.Walk's Trouble tell of sleep before all else.
func (s *sleepWatch) and(others func() event.Fault) func() event.Fault {
	return func() event.Fault {
		ahead := s.through() - s.awake()
		slept := ahead - s.ahead
		if slept < sleepLeast {
			return others()
		}
		s.ahead = ahead
		return event.Fault{What: fmt.Sprintf("the machine was asleep for %v; the walk's time stood still meanwhile", slept.Round(time.Second))}
	}
}
