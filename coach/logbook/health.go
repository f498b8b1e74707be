package logbook

import (
	"context"
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Health is what Check has found out about a store.
type Health struct {
	Version  int  // of its schema
	Sessions int  // deleted ones too
	Damaged  bool // the error is that the file is, and not that it is none of ours
}

// ErrUnchecked is given by Check for a store that opens, but is too large to be
// gone through before the context was done.
var ErrUnchecked = errors.New("not gone through to its end")

// Check opens the store at path, which must be there, changes nothing and has
// SQLite go through the file. It is quicker than CheckBackup, as it leaves out the
// indexes and does not read the events.
func Check(ctx context.Context, path string) (h Health, err error) {
	defer func() {
		var code *sqlite.Error
		if errors.As(err, &code) {
			c := code.Code() & 0xff // the rest is detail
			h.Damaged = c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB
		}
	}()
	s, err := OpenReadOnly(path)
	if err != nil {
		return h, err
	}
	defer s.Close()
	if h.Version, err = versionOf(ctx, s.db); err != nil {
		return h, s.fail(err)
	}
	if err := s.db.QueryRowContext(ctx, `SELECT count(*) FROM session`).Scan(&h.Sessions); err != nil {
		return h, s.fail(err)
	}
	var verdict string
	err = s.db.QueryRowContext(ctx, `PRAGMA quick_check(1)`).Scan(&verdict)
	switch {
	case ctx.Err() != nil:
		return h, s.fail(ErrUnchecked)
	case err != nil:
		return h, s.fail(err)
	case verdict != "ok":
		h.Damaged = true
		return h, s.fail(fmt.Errorf("damaged: %s", verdict))
	}
	return h, nil
}
