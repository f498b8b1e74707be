//go:build cgo

package soundprocess

// #include <unistd.h>
import "C"

import (
	"fmt"
	"os"
)

// claim takes the pipe out for the protocol alone: what C code prints to the
// standard output (libjack does) goes to the standard error from now on.
func claim(out *os.File) (*os.File, error) {
	fd := C.int(out.Fd())
	own, err := C.dup(fd)
	if own < 0 {
		return nil, fmt.Errorf("cannot keep the pipe to steadfoot: %w", err)
	}
	if r, err := C.dup2(C.int(os.Stderr.Fd()), fd); r < 0 {
		return nil, fmt.Errorf("cannot lead the sound library's messages away: %w", err)
	}
	return os.NewFile(uintptr(own), "pipe to steadfoot"), nil
}
