package logbook

import (
	"os"
	"testing"

	"steadfoot/coach/event"
)

// TestBytesPerStep measures what an hour's walk adds to an empty store, which has
// a page for each table: steps alone, and with the rhythm events between them. The
// made numbers use all their bits, so real ones are not longer. The bounds keep 100
// million steps below 7 GB.
func TestBytesPerStep(t *testing.T) {
	all := walk(3600, 1)
	var steps []event.Event
	for _, e := range all {
		if e, ok := e.(event.Step); ok {
			steps = append(steps, e)
		}
	}
	for _, c := range []struct {
		name   string
		events []event.Event
		most   float64
	}{{"steps alone", steps, 17}, {"all events", all, 57}} {
		s, path := openTemp(t)
		var empty int64
		if err := s.db.QueryRow(`SELECT page_count * page_size FROM pragma_page_count, pragma_page_size`).Scan(&empty); err != nil {
			t.Fatal(err)
		}
		w := begin(t, s)
		appendAll(t, w, c.events)
		if err := w.End(); err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		st, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		per := float64(st.Size()-empty) / float64(len(steps))
		t.Logf("%s: %d steps, %d bytes, of them %d without any, %.1f bytes per step", c.name, len(steps), st.Size(), empty, per)
		if per > c.most {
			t.Errorf("%s: %.1f bytes per step, want at most %g", c.name, per, c.most)
		}
	}
}
