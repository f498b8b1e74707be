package local

import (
	"os"
	"strings"
	"time"

	"golang.org/x/sys/unix"
)

// ThisMachine is the clock of the machine.
func ThisMachine() Machine { return boottime{} }

type boottime struct{}

func (boottime) Boot() string {
	id, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(id))
}

func (boottime) Now() time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_BOOTTIME, &ts); err != nil {
		return time.Since(started) // a kernel without it; within this process it will do
	}
	return time.Duration(ts.Nano())
}

var started = time.Now()
