package logbook

import (
	"context"
	"fmt"
)

// Digest is what somebody worked out of a session's events and wants to find again
// without reading them. The store does not look into it.
type Digest struct {
	Session int64
	Form    int    // version of what Data means; another one is as good as none
	Events  int    // of how many events it was made; with more it is out of date
	Data    []byte //
}

// Digested is a session of the list with its digest.
type Digested struct {
	Info
	Data []byte // nil: there is none, of another form, or out of date
}

// Digests lists the sessions that pass the filter, the newest first, each with its
// digest of the given form.
func (s *Store) Digests(f Filter, form int) ([]Digested, error) {
	where, args := f.where()
	query := `SELECT ` + infoColumns + `, data FROM session LEFT JOIN digest ON session = id AND form = ? AND upto = events
		WHERE ` + where + ` ORDER BY started DESC, id DESC`
	if f.Limit > 0 {
		query += fmt.Sprintf(" LIMIT %d", f.Limit)
	}
	rows, err := s.db.Query(query, append([]any{form}, args...)...)
	if err != nil {
		return nil, s.fail(err)
	}
	defer rows.Close()
	var list []Digested
	for rows.Next() {
		var d Digested
		if d.Info, err = scanInfo(rows.Scan, &d.Data); err != nil {
			return nil, s.fail(err)
		}
		list = append(list, d)
	}
	if err := rows.Err(); err != nil {
		return nil, s.fail(err)
	}
	return list, nil
}

// KeepDigests puts digests in the store, in place of older ones. It fails on a
// store that was opened read-only; nothing is lost by that but time.
func (s *Store) KeepDigests(list []Digest) error {
	tx, err := s.db.BeginTx(context.Background(), nil)
	if err != nil {
		return s.fail(err)
	}
	defer tx.Rollback()
	for _, d := range list {
		if _, err := tx.Exec(`INSERT OR REPLACE INTO digest (session, form, upto, data) VALUES (?, ?, ?, ?)`, d.Session, d.Form, d.Events, d.Data); err != nil {
			return s.fail(err)
		}
	}
	if err := tx.Commit(); err != nil {
		return s.fail(err)
	}
	return nil
}
