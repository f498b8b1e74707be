package virtual

import (
	"os/exec"
	"strconv"
	"sync"
)

// Prefer is a command line that runs another one, and what that starts, before
// all programs of an ordinary load, where that is allowed (root, on Linux).
// Sound on a busy machine with few cores falters, and a test would tell of the
// load instead of the program. They take turns (--rr): with --fifo one of a program's
// threads was seen to keep a processor for seven minutes while the others waited.
func Prefer(command ...string) []string {
	if !mayPrefer() {
		return command
	}
	return append([]string{"chrt", "--rr", "5"}, command...)
}

var mayPrefer = sync.OnceValue(func() bool {
	return exec.Command("chrt", "--rr", "5", "true").Run() == nil
})

// preferRunning prefers a process that put itself back among the others.
func preferRunning(pid int) {
	if mayPrefer() {
		// It only helps; without it the tests repeat more runs.
		_ = exec.Command("chrt", "--rr", "--all-tasks", "--pid", "5", strconv.Itoa(pid)).Run()
	}
}
