package engine

import (
	"io"
	"os"
	"time"

	"golang.org/x/sys/unix"

	"steadfoot/audio/device/internal/pipe"
)

// tick comes regularly, by a timer of the kernel that Go waits for as for a pipe.
// It waits for timers of its own to a millisecond only, and until then its
// scheduler looks every 80 µs whether one is due.
type tick struct {
	timer io.Reader
	count [8]byte // as the kernel tells it
	every time.Duration
}

func newTick(every time.Duration) *tick {
	t := &tick{every: every}
	fd, err := unix.TimerfdCreate(unix.CLOCK_MONOTONIC, unix.TFD_NONBLOCK|unix.TFD_CLOEXEC)
	if err != nil {
		return t
	}
	at := unix.NsecToTimespec(int64(every))
	if unix.TimerfdSettime(fd, 0, &unix.ItimerSpec{Interval: at, Value: at}, nil) == nil {
		t.timer = pipe.Reader(os.NewFile(uintptr(fd), "timer"))
	}
	return t
}

// wait returns with the next tick; those that nobody waited for are left out.
func (t *tick) wait() {
	if t.timer != nil {
		if _, err := t.timer.Read(t.count[:]); err == nil {
			return
		}
	}
	time.Sleep(t.every)
}
