package logbook

import (
	"errors"
	"fmt"
	"iter"
	"regexp"

	"steadfoot/coach/event"
)

// uidForm is what a UID looks like: 16 bytes in hex.
var uidForm = regexp.MustCompile(`^[0-9a-f]{32}$`)

// Import adds a whole session that comes from elsewhere: its header, its events in
// their order, and of i the note, the tags, the UID and whether it is complete.
// known is true when a session of that UID is here already, which is then left as
// it is. It is all there or not at all.
func (s *Store) Import(h Header, i Info, events iter.Seq[event.Event]) (id int64, known bool, err error) {
	if i.UID != "" && !uidForm.MatchString(i.UID) {
		return 0, false, fmt.Errorf("uid %q: want 32 hexadecimal digits", i.UID[:min(len(i.UID), 40)])
	}
	for _, t := range i.Tags {
		if err := checkTag(t); err != nil {
			return 0, false, err
		}
	}
	if i.UID != "" {
		err := s.db.QueryRow(`SELECT coalesce(max(id), 0) FROM session WHERE uid = ?`, i.UID).Scan(&id)
		if err != nil || id != 0 {
			return id, id != 0, err
		}
	}
	w, err := s.Begin(h)
	if err != nil {
		return 0, false, err
	}
	for e := range events {
		if err = w.Append(e); err != nil {
			break
		}
	}
	err = errors.Join(err, w.stop(i.Complete))
	if err == nil {
		_, err = s.db.Exec(`UPDATE session SET note = ?, tags = ?, uid = iif(? = '', uid, ?) WHERE id = ?`, i.Note, joinTags(i.Tags), i.UID, i.UID, w.ID())
	}
	if err != nil {
		s.forget(w)
		s.db.Exec(`DELETE FROM chunk WHERE session = ?`, w.ID())
		s.db.Exec(`DELETE FROM session WHERE id = ?`, w.ID())
		return 0, false, err
	}
	return w.ID(), false, nil
}
