//go:build unix

package soundprocess

import (
	"os"
	"syscall"
)

// polled is the pipe f for one who does not sit in a system call while he waits:
// Go's scheduler watches each that does, thousands of times a second. What is no
// pipe stays as it is.
func polled(f *os.File) *os.File {
	fd := int(f.Fd())
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeNamedPipe == 0 || syscall.SetNonblock(fd, true) != nil {
		return f
	}
	return os.NewFile(uintptr(fd), f.Name())
}
