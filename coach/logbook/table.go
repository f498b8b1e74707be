package logbook

import (
	"database/sql"
	"sync"
)

// table is the disk of a real session.
type table struct {
	s  *Store
	id int64
}

// batch is what one session has to store.
type batch struct {
	id     int64
	chunks []chunk
	counts counts
	done   bool
	err    error
}

// together has what several sessions want to store at the same time committed at
// once: each commit waits for the disk, and a leader stores hundreds of walks.
type together struct {
	mu      sync.Mutex
	waiting []*batch
	turn    sync.Mutex // of who commits; it guards done and err of all batches
}

func (t table) commit(chunks []chunk, c counts) error {
	b := &batch{id: t.id, chunks: chunks, counts: c}
	g := &t.s.together
	g.mu.Lock()
	g.waiting = append(g.waiting, b)
	g.mu.Unlock()

	g.turn.Lock()
	defer g.turn.Unlock()
	if b.done { // by who had the turn before
		return b.err
	}
	g.mu.Lock()
	all := g.waiting
	g.waiting = nil
	g.mu.Unlock()
	err := t.s.commit(all)
	for _, b := range all {
		b.done, b.err = true, err
	}
	return err
}

// commit stores all of the batches or none; with errGone all are.
func (s *Store) commit(all []*batch) error {
	tx, err := s.db.Begin()
	if err != nil {
		return s.fail(err)
	}
	defer tx.Rollback()
	for _, b := range all {
		if err := b.write(tx); err != nil {
			return s.fail(err)
		}
	}
	if err := tx.Commit(); err != nil {
		return s.fail(err)
	}
	if s.gone() {
		return s.fail(errGone)
	}
	return nil
}

func (b *batch) write(tx *sql.Tx) error {
	for _, k := range b.chunks {
		if _, err := tx.Exec(`INSERT INTO chunk (session, first, n, data) VALUES (?, ?, ?, ?)
			ON CONFLICT (session, first) DO UPDATE SET n = excluded.n, data = excluded.data`,
			b.id, k.first, k.n, k.data); err != nil {
			return err
		}
	}
	c := b.counts
	_, err := tx.Exec(`UPDATE session SET duration = ?, events = ?, steps = ?, heard = ?, complete = ? WHERE id = ?`,
		c.duration, c.events, c.steps, c.heard, c.complete, b.id)
	return err
}
