package logbook

import (
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"steadfoot/coach/event"
)

const (
	// flushEvery is the longest time between two commits of new events.
	flushEvery = 250 * time.Millisecond
	// chunkSize ends a chunk once it holds as many bytes. With one more event,
	// the row's head and its place in the page it just fills a page of 4096.
	chunkSize = 3900
	// endTries is how often a last commit is tried, flushEvery apart.
	endTries = 8
)

var errEnded = errors.New("session has ended")

// chunk is a run of events in the stored form.
type chunk struct {
	first int64 // sequence number of the first event
	n     int
	data  []byte
}

// counts is what the list of sessions shows.
type counts struct {
	duration     float64 // s
	events       int64
	steps, heard int64
	complete     bool
}

// disk takes batches; tests put their own in place of the database.
type disk interface {
	// commit stores all of it or nothing, but for errGone, with which all is stored.
	// A chunk that is there already under the same first is replaced: it has grown.
	commit(chunks []chunk, c counts) error
}

// Writer appends the events of one session. It is safe for concurrent use.
type Writer struct {
	id   int64
	uid  string
	disk disk
	quit chan struct{}
	done chan struct{}
	stop func(complete bool) error // until it succeeds; then the store forgets the writer

	mu     sync.Mutex
	full   []chunk // not committed, or committed before they were full
	open   encoder // the chunk that still grows
	first  int64   // sequence number of its first event
	now    counts
	saved  int64 // events committed
	ended  bool
	stored bool  // after it has ended
	err    error // the first one
}

// Begin starts a session. It writes the header at once and so fails when the
// store cannot be written.
func (s *Store) Begin(h Header) (*Writer, error) {
	if len(h.Settings) > 0 && !json.Valid(h.Settings) {
		return nil, s.fail(errors.New("begin session: settings are not JSON"))
	}
	uid := newUID()
	id, err := s.enter(h, uid)
	if err != nil {
		return nil, s.fail(fmt.Errorf("begin session: %w", err))
	}
	w := newWriter(id, table{s, id})
	w.uid = uid
	finish := w.stop
	w.stop = func(complete bool) error {
		err := finish(complete)
		if err == nil {
			s.forget(w)
		}
		return err
	}
	s.mu.Lock()
	s.writers[w] = struct{}{}
	s.mu.Unlock()
	return w, nil
}

// enter writes the header.
func (s *Store) enter(h Header, uid string) (id int64, err error) {
	tx, err := s.db.Begin()
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	_, zone := h.Started.Zone()
	r, err := tx.Exec(`INSERT INTO session (started, zone, athlete, label, plan, input, output, version, uid) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		h.Started.UnixNano(), zone, h.Athlete, h.Label, h.Plan, h.Input, h.Output, h.Version, uid)
	if err != nil {
		return 0, err
	}
	if id, err = r.LastInsertId(); err != nil {
		return 0, err
	}
	if _, err := tx.Exec(`INSERT INTO settings (session, data) VALUES (?, ?)`, id, string(h.Settings)); err != nil {
		return 0, err
	}
	return id, tx.Commit()
}

func (s *Store) forget(w *Writer) {
	s.mu.Lock()
	delete(s.writers, w)
	s.mu.Unlock()
}

func newWriter(id int64, d disk) *Writer {
	w := &Writer{id: id, disk: d, quit: make(chan struct{}), done: make(chan struct{})}
	w.stop = w.finish
	go w.run()
	return w
}

// newUID is a name that no other session has.
func newUID() string {
	var b [16]byte
	rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// ID is the session's number in its store.
func (w *Writer) ID() int64 { return w.id }

// UID is the session's name in every store it comes into.
func (w *Writer) UID() string { return w.uid }

// Append adds e to the session. It never waits for the disk: it encodes e in
// memory and leaves the rest to the writer's goroutine. Events keep the order
// of the calls. It returns an error, and drops e, only when e can never be
// stored (a number that is NaN or infinite, an unknown kind) or the session has
// ended; Err then gives it too. Trouble with the disk is told by Err alone.
func (w *Writer) Append(e event.Event) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	err := errEnded
	if !w.ended {
		err = w.open.add(e)
	}
	if err != nil {
		w.keep(err)
		return err
	}
	w.now.add(e)
	if len(w.open.buf) >= chunkSize {
		w.full = append(w.full, chunk{w.first, w.open.n, w.open.buf})
		w.first += int64(w.open.n)
		w.open = encoder{buf: make([]byte, 0, chunkSize+128)}
	}
	return nil
}

// add counts e in.
func (c *counts) add(e event.Event) {
	c.events++
	switch e := e.(type) {
	case event.Step:
		c.steps++
		if e.Heard {
			c.heard++
		}
		c.duration = max(c.duration, e.T)
	case event.Gap:
		c.duration = max(c.duration, e.T+e.Length)
	case event.Rhythm:
		c.duration = max(c.duration, e.T)
	case event.Mark:
		c.duration = max(c.duration, e.T)
	case event.Fault:
		c.duration = max(c.duration, e.T)
	}
}

// Err returns the first thing that went wrong, nil when nothing did. The
// writer goes on after it: Waiting tells whether the disk has caught up.
func (w *Writer) Err() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.err
}

// Waiting is the number of events that are in memory only.
func (w *Writer) Waiting() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return int(w.now.events - w.saved)
}

// End commits what is left and marks the session complete. It tries for about
// two seconds; an error then says how many events are not stored and why, and End
// may be called again: they are kept. The writer takes no events afterwards.
func (w *Writer) End() error { return w.stop(true) }

func (w *Writer) keep(err error) {
	if w.err == nil {
		w.err = err
	}
}

// run commits at every tick until finish.
func (w *Writer) run() {
	defer close(w.done)
	tick := time.NewTicker(flushEvery)
	defer tick.Stop()
	for {
		select {
		case <-w.quit:
			return
		case <-tick.C:
			w.flush() // an error is kept, and the next tick tries again
		}
	}
}

func (w *Writer) finish(complete bool) error {
	w.mu.Lock()
	first, stored := !w.ended, w.stored
	w.ended = true
	w.now.complete = w.now.complete || complete
	w.mu.Unlock()
	if stored {
		return errEnded
	}
	if first {
		close(w.quit)
		<-w.done
	}
	var err error
	for try := range endTries {
		if try > 0 {
			time.Sleep(flushEvery)
		}
		if err = w.flush(); err == nil {
			w.mu.Lock()
			w.stored = true
			w.mu.Unlock()
			return nil
		}
	}
	return fmt.Errorf("session %d: its last %d events are not stored: %w", w.id, w.Waiting(), err)
}

// flush commits what is new. Only one goroutine calls it at a time.
func (w *Writer) flush() error {
	w.mu.Lock()
	now, full := w.now, len(w.full)
	if now.events == w.saved && !now.complete {
		w.mu.Unlock()
		return nil
	}
	batch := append([]chunk(nil), w.full...)
	if w.open.n > 0 {
		batch = append(batch, chunk{w.first, w.open.n, append([]byte(nil), w.open.buf...)})
	}
	w.mu.Unlock()

	err := w.disk.commit(batch, now)

	w.mu.Lock()
	defer w.mu.Unlock()
	if err != nil {
		w.keep(err)
	}
	if err != nil && !errors.Is(err, errGone) {
		return err
	}
	w.full = append(w.full[:0], w.full[full:]...)
	w.saved = now.events
	return nil
}
