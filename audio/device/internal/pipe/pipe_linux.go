// Package pipe reads and writes pipes, and what else can be polled, without telling
// Go's scheduler of each system call: none of them waits, yet each would wake up the
// thread that watches for long ones, which then looks around every 80 µs for as long
// as anything runs. That was a third of what a walk cost.
package pipe

import (
	"io"
	"os"
	"syscall"
	"unsafe"

	"golang.org/x/sys/unix"
)

// Reader is r for one who reads alone, if r can be polled; else r itself.
func Reader(r io.Reader) io.Reader {
	if e := newEnd(r, unix.SYS_READ); e != nil {
		return reader{e}
	}
	return r
}

// Writer is w for one who writes alone, if w can be polled; else w itself.
func Writer(w io.Writer) io.Writer {
	if e := newEnd(w, unix.SYS_WRITE); e != nil {
		return writer{e}
	}
	return w
}

// end is one direction.
type end struct {
	c    syscall.RawConn
	call uintptr
	step func(uintptr) bool
	buf  []byte
	n    int
	err  syscall.Errno
}

// newEnd returns nil where f is no file that can be polled.
func newEnd(f any, call uintptr) *end {
	file, ok := f.(*os.File)
	if !ok {
		return nil
	}
	c, err := file.SyscallConn()
	if err != nil {
		return nil
	}
	polled := false
	if err := c.Control(func(fd uintptr) {
		flags, err := unix.FcntlInt(fd, unix.F_GETFL, 0)
		polled = err == nil && flags&unix.O_NONBLOCK != 0
	}); err != nil || !polled {
		return nil
	}
	e := &end{c: c, call: call}
	e.step = e.once // made once: a method value allocates
	return e
}

// once tries, and returns false where it must wait.
func (e *end) once(fd uintptr) bool {
	for {
		n, _, err := unix.RawSyscall(e.call, fd, uintptr(unsafe.Pointer(unsafe.SliceData(e.buf))), uintptr(len(e.buf)))
		switch err {
		case unix.EINTR:
			continue
		case unix.EAGAIN:
			return false
		}
		e.n, e.err = int(n), err
		if err != 0 {
			e.n = 0
		}
		return true
	}
}

// done ends a try in which waiting went as err says.
func (e *end) done(err error) (int, error) {
	e.buf = nil
	switch {
	case err != nil:
		return 0, os.ErrClosed
	case e.err != 0:
		return 0, e.err
	}
	return e.n, nil
}

type reader struct{ *end }

// Read implements io.Reader.
func (r reader) Read(b []byte) (int, error) {
	if len(b) == 0 {
		return 0, nil
	}
	r.buf = b
	n, err := r.done(r.c.Read(r.step))
	if n == 0 && err == nil {
		err = io.EOF
	}
	return n, err
}

type writer struct{ *end }

// Write implements io.Writer.
func (w writer) Write(b []byte) (int, error) {
	done := 0
	for done < len(b) {
		w.buf = b[done:]
		n, err := w.done(w.c.Write(w.step))
		done += n
		if err != nil {
			return done, err
		}
	}
	return done, nil
}
