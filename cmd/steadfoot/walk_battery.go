package main

import (
	"io/fs"
	"sync"
	"time"

	"steadfoot/cmd/steadfoot/power"
	"steadfoot/coach/event"
)

// batteryEvery is how often the battery is looked at: often enough for per cents
// that take minutes each.
const batteryEvery = 30 * time.Second

// batteryWatch looks at the battery in a goroutine of its own, since the
// machine's firmware may take its time, and keeps what the walk is to be told.
type batteryWatch struct {
	news chan string
	stop func()
}

// watchBattery begins with a look at once; supplies may be nil. The caller stops it.
func watchBattery(supplies fs.FS, every time.Duration) *batteryWatch {
	w := &batteryWatch{news: make(chan string, 1)}
	quit := make(chan struct{})
	w.stop = sync.OnceFunc(func() { close(quit) })
	go func() {
		var teller power.Teller
		tick := time.NewTicker(every)
		defer tick.Stop()
		for {
			if s, ok := power.Read(supplies); ok {
				if what := teller.Tell(s); what != "" {
					w.tell(what)
				}
			}
			select {
			case <-tick.C:
			case <-quit:
				return
			}
		}
	}()
	return w
}

// tell puts news in the place of older ones that the walk has not taken.
func (w *batteryWatch) tell(what string) {
	select {
	case <-w.news:
	default:
	}
	w.news <- what
}

// trouble is for live.Walk's Trouble.
func (w *batteryWatch) trouble() event.Fault {
	if w == nil {
		return event.Fault{}
	}
	select {
	case what := <-w.news:
		return event.Fault{Code: event.FaultBattery, What: what}
	default:
		return event.Fault{}
	}
}
