package virtual

import (
	"os"
	"runtime"
	"time"

	"golang.org/x/sys/unix"
)

// shorten has a pipe hold no more than a page, 43 ms of one channel.
func shorten(f *os.File) error {
	_, err := unix.FcntlInt(f.Fd(), unix.F_SETPIPE_SZ, 4096)
	return err
}

// hurry has the calling goroutine run before all ordinary programs, as Prefer does,
// where that is allowed. Its thread ends with it.
func hurry() {
	runtime.LockOSThread()
	a := unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_RR, Priority: 5}
	_ = unix.SchedSetAttr(0, &a, 0) // it only helps
}

// rest sleeps until that time by the kernel's timer, which wakes this very thread.
func rest(until time.Time) {
	for d := time.Until(until); d > 0; d = time.Until(until) {
		at := unix.NsecToTimespec(int64(d))
		_ = unix.Nanosleep(&at, nil) // cut short by a signal, it is called again
	}
}
