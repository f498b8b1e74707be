//go:build unix

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
)

// pipeHands is the named pipe that is read, and removed at the end if it was made
// for the walk.
type pipeHands struct {
	*os.File
	made bool
}

// Close implements io.Closer.
func (p pipeHands) Close() error {
	err := p.File.Close()
	if p.made {
		err = errors.Join(err, os.Remove(p.Name()))
	}
	return err
}

// openPipe opens the named pipe at path, and makes it when it is not there.
func (h *hands) openPipe(path string) error {
	err := syscall.Mkfifo(path, 0o600)
	made := err == nil
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%w; name a path in a folder that is there and can be written", err)
	}
	if st, err := os.Stat(path); err != nil || st.Mode()&fs.ModeNamedPipe == 0 {
		return errors.New("is there already and is no named pipe; remove it or name another path")
	}
	// Open for writing too, it neither waits for a writer nor ends with one.
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	h.from = pipeHands{f, made}
	h.listen = func() { _ = h.serve(f, func(error) error { return nil }) } // it ends with the walk
	return nil
}
