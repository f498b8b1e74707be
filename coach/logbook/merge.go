package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// sessionColumns are the columns that are copied from store to store; the number
// is given anew.
const sessionColumns = `uid, started, zone, athlete, label, plan, note, tags, deleted, input, output, version, duration, events, steps, heard, complete`

// Merge copies every session of another store that is not here yet, deleted ones
// too, and tells how many came and how many were here already. Sessions are known
// by their UID, so merging twice, or back and forth, makes no second copy. What
// was changed in both (a note, a label) stays as it is here. A session that was
// still being walked when it came is completed the next time, and counted again.
// Sounds that are kept beside the other store are not copied.
func (s *Store) Merge(from string) (added, known int, err error) {
	if _, err := os.Stat(from); err != nil { // Open would make one
		return 0, 0, fmt.Errorf("store %s: %w", from, reason(err))
	}
	other, err := Open(from) // an older one is updated first
	if err != nil {
		return 0, 0, err
	}
	if err := other.Close(); err != nil {
		return 0, 0, err
	}
	ctx := context.Background()
	conn, err := s.db.Conn(ctx)
	if err != nil {
		return 0, 0, s.fail(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, `ATTACH ? AS other`, from); err != nil {
		return 0, 0, s.fail(err)
	}
	defer conn.ExecContext(ctx, `DETACH other`)
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		return 0, 0, s.fail(err)
	}
	defer tx.Rollback()
	if added, known, err = mergeAttached(tx); err == nil {
		err = tx.Commit()
	}
	if err != nil {
		return 0, 0, s.fail(fmt.Errorf("merge %s: %w", from, err))
	}
	return added, known, nil
}

func mergeAttached(tx *sql.Tx) (added, known int, err error) {
	rows, err := tx.Query(`SELECT o.id, coalesce(s.id, 0), coalesce(o.events <= s.events, 0)
		FROM other.session o LEFT JOIN main.session s USING (uid) ORDER BY o.started, o.id`)
	if err != nil {
		return 0, 0, err
	}
	type pair struct{ there, here int64 }
	var news []pair
	for rows.Next() {
		var p pair
		var whole bool
		if err := rows.Scan(&p.there, &p.here, &whole); err != nil {
			rows.Close()
			return 0, 0, err
		}
		if whole {
			known++
		} else {
			news = append(news, p)
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return 0, 0, err
	}
	for _, p := range news {
		if err := fetch(tx, p.there, p.here); err != nil {
			return 0, 0, err
		}
	}
	return len(news), known, nil
}

// fetch copies a session of the other store, or where there is a part of it here
// already, its events.
func fetch(tx *sql.Tx, there, here int64) error {
	if here == 0 {
		r, err := tx.Exec(`INSERT INTO main.session (`+sessionColumns+`) SELECT `+sessionColumns+` FROM other.session WHERE id = ?`, there)
		if err != nil {
			return err
		}
		if here, err = r.LastInsertId(); err != nil {
			return err
		}
		if _, err := tx.Exec(`INSERT INTO main.settings SELECT ?, data FROM other.settings WHERE session = ?`, here, there); err != nil {
			return err
		}
	} else if _, err := tx.Exec(`UPDATE main.session SET (duration, events, steps, heard, complete) =
		(SELECT duration, events, steps, heard, complete FROM other.session WHERE id = ?) WHERE id = ?`, there, here); err != nil {
		return err
	}
	if _, err := tx.Exec(`DELETE FROM main.chunk WHERE session = ?`, here); err != nil {
		return err
	}
	_, err := tx.Exec(`INSERT INTO main.chunk (session, first, n, data) SELECT ?, first, n, data FROM other.chunk WHERE session = ? ORDER BY first`, here, there)
	return err
}

// Backup writes a copy of the whole store to a file that must not be there yet,
// and checks it: that SQLite finds it sound, and that every session and event is
// in it. Sounds that are kept beside the store are not in it.
func (s *Store) Backup(to string) error {
	if !noFile(to) {
		return fmt.Errorf("backup: %s is there already; name a new file", to)
	}
	mine, err := s.contents() // a walk may go on meanwhile, and more of it be in the copy
	if err != nil {
		return s.fail(err)
	}
	if err = copyStore(context.Background(), s.db, to); err == nil {
		err = CheckBackup(to, &mine)
	}
	if err != nil {
		if !errors.Is(err, fs.ErrExist) {
			os.Remove(to) // a bad copy is worse than none
		}
		return fmt.Errorf("backup to %s: %w", to, explain(err))
	}
	return nil
}

// Contents is what a backup is checked by.
type Contents struct {
	Sessions, Events, Chunks int64
	Bytes                    int64 // of the chunks
}

func (s *Store) contents() (c Contents, err error) {
	row := s.db.QueryRow(`SELECT (SELECT count(*) FROM session), (SELECT coalesce(sum(n), 0) FROM chunk), (SELECT count(*) FROM chunk), (SELECT coalesce(sum(length(data)), 0) FROM chunk)`)
	err = row.Scan(&c.Sessions, &c.Events, &c.Chunks, &c.Bytes)
	return c, err
}

// CheckBackup tells whether a file is a sound store; where want is not nil it must
// also hold as much, or more. Every event in it is read.
func CheckBackup(path string, want *Contents) error {
	s, err := OpenReadOnly(path)
	if err != nil {
		return err
	}
	defer s.Close()
	var verdict string
	if err := s.db.QueryRow(`PRAGMA integrity_check`).Scan(&verdict); err != nil {
		return s.fail(err)
	}
	if verdict != "ok" {
		return s.fail(fmt.Errorf("damaged: %s", verdict))
	}
	have, err := s.contents()
	if err != nil {
		return s.fail(err)
	}
	if want != nil && (have.Sessions < want.Sessions || have.Events < want.Events || have.Chunks < want.Chunks || have.Bytes < want.Bytes) {
		return s.fail(fmt.Errorf("it holds %d sessions with %d events, not %d with %d", have.Sessions, have.Events, want.Sessions, want.Events))
	}
	for _, deleted := range []bool{false, true} {
		list, err := s.Find(Filter{Deleted: deleted})
		if err != nil {
			return err
		}
		for _, i := range list {
			for _, err := range s.Events(i.ID) {
				if err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// Restore puts a backup in the place of the store at path, after checking it. The
// store that was there is kept beside it as path.before, with a number where that
// name is taken. It must not be open.
func Restore(backup, path string) (kept string, err error) {
	if err := CheckBackup(backup, nil); err != nil {
		return "", err
	}
	src, err := Open(backup)
	if err != nil {
		return "", err
	}
	half := path + ".part"
	os.Remove(half)
	err = src.Backup(half)
	if err = errors.Join(err, src.Close()); err != nil {
		return "", err
	}
	if !noFile(path) {
		if kept, err = setAside(path); err != nil {
			return "", err
		}
	}
	return kept, os.Rename(half, path)
}

// setAside moves a store to a free name beside it, with its helper files folded
// in first.
func setAside(path string) (string, error) {
	old, err := Open(path)
	if err != nil {
		return "", err
	}
	_, err = old.db.Exec(`PRAGMA wal_checkpoint(TRUNCATE)`)
	if err = errors.Join(err, old.Close()); err != nil {
		return "", err
	}
	name := path + ".before"
	for n := 2; !noFile(name); n++ {
		name = fmt.Sprintf("%s.before%d", path, n)
	}
	if err := os.Rename(path, name); err != nil {
		return "", err
	}
	for _, tail := range []string{"-wal", "-shm"} { // empty now
		if err := os.Remove(path + tail); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return name, err
		}
	}
	return name, nil
}
