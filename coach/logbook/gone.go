package logbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// errGone is kept as a writer's trouble. The system keeps a file that is removed
// while it is open until it is closed: nothing is lost before then.
var errGone = errors.New("the file was removed or replaced while it is written; what is recorded is kept, and put back when the walk ends")

// gone tells whether the store's name does not lead to its file any more.
func (s *Store) gone() bool {
	if s.file == nil {
		return false
	}
	now, err := os.Stat(s.path)
	return errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(now, s.file)
}

// closeGone closes a store whose file is gone, and puts a copy in its place. Where
// another file is there by now, the copy is beside it and the error says so.
func (s *Store) closeGone() error {
	err := os.MkdirAll(filepath.Dir(s.path), 0o700)
	half := s.path + ".rescued.part"
	if err == nil {
		err = os.Remove(half)
	}
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		err = copyStore(context.Background(), s.db, half)
	}
	if cerr := s.db.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return s.fail(fmt.Errorf("the file was removed and cannot be put back: %w", err))
	}
	if noFile(s.path) {
		for _, tail := range []string{"-wal", "-shm"} { // of the old file; they would spoil the new one
			os.Remove(s.path + tail)
		}
	}
	for n, to := 0, s.path; ; n, to = n+1, fmt.Sprintf("%s.rescued-%d", s.path, n+1) {
		err := moveNew(half, to)
		switch {
		case errors.Is(err, fs.ErrExist):
		case err != nil:
			return s.fail(fmt.Errorf("the file was removed; what was recorded is in %s: %w", half, reason(err)))
		case n > 0:
			return s.fail(fmt.Errorf("another file is there now; what was recorded is in %s, and 'steadfoot log merge' joins the two", to))
		default:
			return nil
		}
	}
}

// moveNew renames a file, and replaces none that is there.
func moveNew(from, to string) error {
	switch err := os.Link(from, to); {
	case err == nil:
		return os.Remove(from)
	case errors.Is(err, fs.ErrExist):
		return err
	case noFile(to):
		return os.Rename(from, to) // some disks have no links
	}
	return fs.ErrExist
}
