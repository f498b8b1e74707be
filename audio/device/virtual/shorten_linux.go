package virtual

import (
	"os"

	"golang.org/x/sys/unix"
)

// shorten has a pipe hold no more than a page, 43 ms of one channel.
func shorten(f *os.File) error {
	_, err := unix.FcntlInt(f.Fd(), unix.F_SETPIPE_SZ, 4096)
	return err
}
