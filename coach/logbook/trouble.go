package logbook

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// fail names the store in an error, and says in plain words what SQLite means.
func (s *Store) fail(err error) error { return fmt.Errorf("store %s: %w", s.path, explain(err)) }

// explained is an error with words of ours in front.
type explained struct {
	words string
	err   error
}

func (e explained) Error() string { return fmt.Sprintf("%s (%v)", e.words, e.err) }
func (e explained) Unwrap() error { return e.err }

// explain says what an error of SQLite is about and what to do. Its own words stay
// behind, for whoever looks closer.
func explain(err error) error {
	var code *sqlite.Error
	var done explained
	if !errors.As(err, &code) || errors.As(err, &done) {
		return err
	}
	switch code.Code() & 0xff { // the rest is detail
	case sqlite3.SQLITE_FULL:
		return explained{"the disk is full; free some space, or name a file on another disk", err}
	case sqlite3.SQLITE_IOERR: // what a full disk gives for SQLite's helper files
		return explained{"the disk is full or faulty; free some space, or name a file on another disk", err}
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return explained{"it cannot be written; check the rights of the file and its folder, or name another file", err}
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return explained{fmt.Sprintf("another program has been writing to it for more than %v; try again", busyTimeout), err}
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return explained{"the file is damaged; put a backup in its place", err}
	}
	return err
}
