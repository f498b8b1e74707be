package logbook

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"time"

	"steadfoot/coach/event"
)

const infoColumns = `id, started, zone, athlete, label, plan, note, tags, deleted, uid, duration, steps, heard, events, complete`

// scanInfo reads infoColumns and then more.
func scanInfo(scan func(...any) error, more ...any) (Info, error) {
	var i Info
	var started, deleted int64
	var zone int
	var tags string
	into := []any{&i.ID, &started, &zone, &i.Athlete, &i.Label, &i.Plan, &i.Note, &tags, &deleted, &i.UID,
		&i.Duration, &i.Steps, &i.Heard, &i.Events, &i.Complete}
	err := scan(append(into, more...)...)
	i.Started = time.Unix(0, started).In(time.FixedZone("", zone))
	i.Deleted = deleted != 0
	i.Tags = splitTags(tags)
	return i, err
}

// Sessions lists the sessions that are not deleted, the newest first.
func (s *Store) Sessions() ([]Info, error) { return s.Find(Filter{}) }

// Session returns the header of a session and what the list says of it.
func (s *Store) Session(id int64) (Header, Info, error) {
	var h Header
	var settings string
	row := s.db.QueryRow(`SELECT `+infoColumns+`, input, output, version, coalesce((SELECT data FROM settings WHERE session = id), '')
		FROM session WHERE id = ?`, id)
	i, err := scanInfo(row.Scan, &h.Input, &h.Output, &h.Version, &settings)
	if errors.Is(err, sql.ErrNoRows) {
		return Header{}, Info{}, s.fail(fmt.Errorf("%w: %d", ErrNoSession, id))
	}
	if err != nil {
		return Header{}, Info{}, s.fail(err)
	}
	i.Sound = s.soundOf(i.UID)
	h.Started, h.Athlete, h.Label, h.Plan = i.Started, i.Athlete, i.Label, i.Plan
	if settings != "" {
		h.Settings = json.RawMessage(settings)
	}
	return h, i, nil
}

// Events gives the events of a session in the order they were appended. It
// ends with an error when the store cannot be read or a chunk is damaged or
// missing. An unknown session has no events.
func (s *Store) Events(id int64) iter.Seq2[event.Event, error] {
	return func(yield func(event.Event, error) bool) {
		rows, err := s.db.Query(`SELECT first, n, data FROM chunk WHERE session = ? ORDER BY first`, id)
		if err != nil {
			yield(nil, s.fail(err))
			return
		}
		defer rows.Close()
		var next int64
		for rows.Next() {
			c, err := scanChunk(rows, next)
			if err == nil {
				var more bool
				if more, err = c.each(yield); err == nil && !more {
					return
				}
			}
			if err != nil {
				yield(nil, s.fail(fmt.Errorf("session %d: events from %d on: %w", id, next, err)))
				return
			}
			next += int64(c.n)
		}
		if err := rows.Err(); err != nil {
			yield(nil, s.fail(err))
		}
	}
}

// scanChunk reads a chunk that must start at event number next.
func scanChunk(rows *sql.Rows, next int64) (chunk, error) {
	var c chunk
	var data sql.RawBytes
	if err := rows.Scan(&c.first, &c.n, &data); err != nil {
		return c, err
	}
	if c.first != next {
		return c, errDamaged
	}
	c.data = data
	return c, nil
}

// each yields the events of the chunk; more is false when yield wants no more.
func (c chunk) each(yield func(event.Event, error) bool) (more bool, err error) {
	d := decoder{buf: c.data}
	for n := 0; n < c.n; n++ {
		if len(d.buf) == 0 {
			return true, errDamaged
		}
		e, err := d.next()
		if err != nil {
			return true, err
		}
		if !yield(e, nil) {
			return false, nil
		}
	}
	if len(d.buf) > 0 {
		return true, errDamaged
	}
	return true, nil
}
