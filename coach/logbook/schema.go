package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// applicationID marks a SQLite file as a steadfoot store: "sfot".
const applicationID = 0x73666f74

// migrations lead from one version of the schema to the next; migrations[0]
// makes version 1 in an empty file. Add to the end, never change an old one.
// What they change in the encoding of chunks counts as a change of schema.
var migrations = []string{`
CREATE TABLE session (
	id       INTEGER PRIMARY KEY AUTOINCREMENT,
	started  INTEGER NOT NULL, -- ns since 1970, UTC
	zone     INTEGER NOT NULL, -- s east of UTC where it was walked
	athlete  TEXT NOT NULL,
	label    TEXT NOT NULL,
	settings TEXT NOT NULL, -- of the coach, JSON
	input    TEXT NOT NULL,
	output   TEXT NOT NULL,
	version  TEXT NOT NULL, -- of the program
	duration REAL NOT NULL DEFAULT 0, -- s
	events   INTEGER NOT NULL DEFAULT 0,
	steps    INTEGER NOT NULL DEFAULT 0,
	heard    INTEGER NOT NULL DEFAULT 0, -- of the steps
	complete INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX session_started ON session (started);
CREATE TABLE chunk (
	session INTEGER NOT NULL REFERENCES session (id),
	first   INTEGER NOT NULL, -- sequence number of its first event
	n       INTEGER NOT NULL, -- events
	data    BLOB NOT NULL,
	PRIMARY KEY (session, first)
);`,
	// Version 2 has more kinds of event and more fields in them; old chunks are
	// read as they are. A session gets a name that is its own in the whole world,
	// by which two stores know it as the same.
	`
ALTER TABLE session ADD COLUMN uid TEXT NOT NULL DEFAULT '';
ALTER TABLE session ADD COLUMN plan TEXT NOT NULL DEFAULT '';    -- name of the session plan
ALTER TABLE session ADD COLUMN note TEXT NOT NULL DEFAULT '';
ALTER TABLE session ADD COLUMN tags TEXT NOT NULL DEFAULT '';    -- with a comma before and after each
ALTER TABLE session ADD COLUMN deleted INTEGER NOT NULL DEFAULT 0; -- ns since 1970; 0: not deleted
UPDATE session SET uid = lower(hex(randomblob(16)));
CREATE UNIQUE INDEX session_uid ON session (uid);
CREATE INDEX session_athlete ON session (athlete COLLATE NOCASE, started);
CREATE TABLE settings ( -- of the coach, JSON; apart from the list, which they would make long
	session INTEGER PRIMARY KEY,
	data    TEXT NOT NULL
);
INSERT INTO settings SELECT id, settings FROM session;
ALTER TABLE session DROP COLUMN settings;
CREATE TRIGGER settings_go AFTER DELETE ON session BEGIN DELETE FROM settings WHERE session = old.id; END;
CREATE TABLE digest ( -- what was worked out of a session, so as not to read it again
	session INTEGER PRIMARY KEY, -- whose it is
	form    INTEGER NOT NULL,    -- version of what is in data
	upto    INTEGER NOT NULL,    -- events it was made of
	data    BLOB NOT NULL
);
CREATE TRIGGER digest_goes AFTER DELETE ON session BEGIN DELETE FROM digest WHERE session = old.id; END;`,
	// Version 3 has what a leader of a group wants, and codes of faults; old
	// chunks are read as they are, and nothing else changes.
	`SELECT 3;`,
}

var (
	errNotStore = errors.New("not a steadfoot store; name another file")
	errNewer    = errors.New("written by a newer steadfoot; update the program to read it")
)

// ErrOld is given by OpenReadOnly for a store that must be migrated first.
var ErrOld = errors.New("written by an older steadfoot; open it once for writing, which updates it")

// querier is what *sql.DB and *sql.Tx have in common here.
type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// versionOf returns the version of the schema, 0 for an empty file.
func versionOf(ctx context.Context, q querier) (int, error) {
	var id, version, tables int
	row := q.QueryRowContext(ctx, `SELECT
		(SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version),
		(SELECT count(*) FROM sqlite_master)`)
	if err := row.Scan(&id, &version, &tables); err != nil {
		return 0, err
	}
	switch {
	case id == 0 && version == 0 && tables == 0:
		return 0, nil
	case id != applicationID || version < 1:
		return 0, errNotStore
	}
	return version, nil
}

// migrate brings the schema up to len(steps). A store with sessions in it is
// first copied to path.vN, N being its old version. Two processes may do it at
// once: the second finds nothing left to do.
func migrate(ctx context.Context, db *sql.DB, path string, steps []string) error {
	have, err := versionOf(ctx, db)
	if err != nil {
		return err
	}
	if have > len(steps) {
		return errNewer
	}
	// Only now, so that a foreign file is never touched.
	if err := useWAL(ctx, db); err != nil {
		return err
	}
	if have == len(steps) {
		return nil
	}
	return update(ctx, db, path, steps)
}

// useWAL switches the file to WAL mode, which stays with it. SQLite does not
// wait when another process is just doing the same, so this does.
func useWAL(ctx context.Context, db *sql.DB) error {
	const pause = 10 * time.Millisecond
	for waited := time.Duration(0); ; waited += pause {
		var mode string
		err := db.QueryRowContext(ctx, "PRAGMA journal_mode=WAL").Scan(&mode)
		var code *sqlite.Error
		busy := errors.As(err, &code) && code.Code()&0xff == sqlite3.SQLITE_BUSY
		if busy && waited < busyTimeout {
			time.Sleep(pause)
			continue
		}
		if err == nil && mode != "wal" {
			err = fmt.Errorf("this place cannot hold a write-ahead log (journal mode %s); use a local disk", mode)
		}
		return err
	}
}

// backup copies the store to path.vN. The copy gets its name when it is whole,
// in place of one that an update that failed has left.
func backup(ctx context.Context, db *sql.DB, path string, version int) error {
	copied := fmt.Sprintf("%s.v%d", path, version)
	half := copied + ".part"
	err := os.Remove(half)
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		err = copyStore(ctx, db, half)
	}
	if err == nil {
		err = os.Rename(half, copied)
	}
	if err != nil {
		return fmt.Errorf("copy to %s before updating: %w", copied, err)
	}
	return nil
}

// copyStore copies the store to a new file, for its owner alone, as the store is.
func copyStore(ctx context.Context, db *sql.DB, to string) error {
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "VACUUM INTO ?", to) // an empty file will do
	return err
}

// update runs the missing steps in one transaction, which the DSN makes
// BEGIN IMMEDIATE: nobody else writes while the version is read again, the copy
// is made, by another connection, and the schema changes.
func update(ctx context.Context, db *sql.DB, path string, steps []string) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	have, err := versionOf(ctx, tx)
	if err != nil || have >= len(steps) {
		return err
	}
	if have > 0 {
		if err := backup(ctx, db, path, have); err != nil {
			return err
		}
	}
	for ; have < len(steps); have++ {
		if _, err := tx.ExecContext(ctx, steps[have]); err != nil {
			return fmt.Errorf("update to version %d: %w", have+1, err)
		}
	}
	set := fmt.Sprintf("PRAGMA application_id=%d; PRAGMA user_version=%d", applicationID, len(steps))
	if _, err := tx.ExecContext(ctx, set); err != nil {
		return err
	}
	return tx.Commit()
}
