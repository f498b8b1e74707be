package logbook

// table is the disk of a real session.
type table struct {
	s  *Store
	id int64
}

func (t table) commit(chunks []chunk, c counts) error {
	tx, err := t.s.db.Begin()
	if err != nil {
		return t.s.fail(err)
	}
	defer tx.Rollback()
	for _, k := range chunks {
		if _, err := tx.Exec(`INSERT INTO chunk (session, first, n, data) VALUES (?, ?, ?, ?)
			ON CONFLICT (session, first) DO UPDATE SET n = excluded.n, data = excluded.data`,
			t.id, k.first, k.n, k.data); err != nil {
			return t.s.fail(err)
		}
	}
	if _, err := tx.Exec(`UPDATE session SET duration = ?, events = ?, steps = ?, heard = ?, complete = ? WHERE id = ?`,
		c.duration, c.events, c.steps, c.heard, c.complete, t.id); err != nil {
		return t.s.fail(err)
	}
	if err := tx.Commit(); err != nil {
		return t.s.fail(err)
	}
	return nil
}
