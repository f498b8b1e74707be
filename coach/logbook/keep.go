package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Rename changes the athlete's name or the label of a session; nil leaves one as
// it is. It fails with ErrNoSession for an unknown number, as the other changes
// do.
func (s *Store) Rename(id int64, athlete, label *string) error {
	return s.change(id, func(tx *sql.Tx) error {
		for column, value := range map[string]*string{"athlete": athlete, "label": label} {
			if value == nil {
				continue
			}
			if _, err := tx.Exec(`UPDATE session SET `+column+` = ? WHERE id = ?`, *value, id); err != nil {
				return err
			}
		}
		return nil
	})
}

// SetNote writes what somebody has to say about a session in place of what was
// there.
func (s *Store) SetNote(id int64, note string) error {
	return s.change(id, func(tx *sql.Tx) error {
		_, err := tx.Exec(`UPDATE session SET note = ? WHERE id = ?`, note, id)
		return err
	})
}

// Tag puts tags on a session and takes others off. Tags are kept in lower case.
func (s *Store) Tag(id int64, on, off []string) error {
	for _, t := range slices.Concat(on, off) {
		if err := checkTag(t); err != nil {
			return err
		}
	}
	return s.change(id, func(tx *sql.Tx) error {
		var text string
		if err := tx.QueryRow(`SELECT tags FROM session WHERE id = ?`, id).Scan(&text); err != nil {
			return err
		}
		tags := splitTags(text)
		for _, t := range on {
			tags = append(tags, normalTag(t))
		}
		for _, t := range off {
			tags = slices.DeleteFunc(tags, func(have string) bool { return have == normalTag(t) })
		}
		_, err := tx.Exec(`UPDATE session SET tags = ? WHERE id = ?`, joinTags(tags), id)
		return err
	})
}

// Delete sets a session aside: it is no longer listed, and comes back with
// Undelete until Purge. now is the time of the deed.
func (s *Store) Delete(id int64, now time.Time) error {
	return s.change(id, func(tx *sql.Tx) error {
		_, err := tx.Exec(`UPDATE session SET deleted = ? WHERE id = ? AND deleted = 0`, now.UnixNano(), id)
		return err
	})
}

// Undelete brings a session back.
func (s *Store) Undelete(id int64) error {
	return s.change(id, func(tx *sql.Tx) error {
		_, err := tx.Exec(`UPDATE session SET deleted = 0 WHERE id = ?`, id)
		return err
	})
}

// Purge removes what was deleted before a time, for good, sounds too, and tells
// how many sessions that were. Its place in the file is used again.
func (s *Store) Purge(before time.Time) (int, error) {
	tx, err := s.db.BeginTx(context.Background(), nil)
	if err != nil {
		return 0, s.fail(err)
	}
	defer tx.Rollback()
	const which = `deleted <> 0 AND deleted < ?`
	if err := s.removeSounds(tx, `SELECT uid FROM session WHERE `+which, before.UnixNano()); err != nil {
		return 0, s.fail(err)
	}
	if _, err := tx.Exec(`DELETE FROM chunk WHERE session IN (SELECT id FROM session WHERE `+which+`)`, before.UnixNano()); err != nil {
		return 0, s.fail(err)
	}
	r, err := tx.Exec(`DELETE FROM session WHERE `+which, before.UnixNano())
	if err != nil {
		return 0, s.fail(err)
	}
	n, err := r.RowsAffected()
	if err = errors.Join(err, tx.Commit()); err != nil {
		return 0, s.fail(err)
	}
	return int(n), nil
}

// removeSounds deletes the sounds of the sessions that a query names. It comes
// before they are forgotten: a sound that nobody knows of must not stay behind.
func (s *Store) removeSounds(tx *sql.Tx, query string, args ...any) error {
	rows, err := tx.Query(query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var uid string
		if err := rows.Scan(&uid); err != nil {
			return err
		}
		if err := s.removeSound(uid); err != nil {
			return err
		}
	}
	return rows.Err()
}

// change runs f in a transaction on a session that must be there.
func (s *Store) change(id int64, f func(*sql.Tx) error) error {
	tx, err := s.db.BeginTx(context.Background(), nil)
	if err != nil {
		return s.fail(err)
	}
	defer tx.Rollback()
	var one int
	err = tx.QueryRow(`SELECT 1 FROM session WHERE id = ?`, id).Scan(&one)
	if errors.Is(err, sql.ErrNoRows) {
		return s.fail(fmt.Errorf("%w: %d", ErrNoSession, id))
	}
	if err == nil {
		err = f(tx)
	}
	if err == nil {
		err = tx.Commit()
	}
	if err != nil {
		return s.fail(err)
	}
	return nil
}
