package logbook

import (
	"errors"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/coach/event"
)

type diskFunc func([]chunk, counts) error

func (f diskFunc) commit(c []chunk, n counts) error { return f(c, n) }

// memory is a disk that keeps chunks as the table does and fails on demand.
type memory struct {
	mu     sync.Mutex
	fail   error
	chunks map[int64]chunk
	now    counts
}

func (m *memory) commit(chunks []chunk, n counts) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return m.fail
	}
	for _, c := range chunks {
		m.chunks[c.first] = chunk{c.first, c.n, append([]byte(nil), c.data...)}
	}
	m.now = n
	return nil
}

func (m *memory) set(err error) {
	m.mu.Lock()
	m.fail = err
	m.mu.Unlock()
}

func (m *memory) events(t *testing.T) []event.Event {
	var got []event.Event
	for next := int64(0); next < m.now.events; {
		c, ok := m.chunks[next]
		if !ok {
			t.Fatalf("no chunk at %d", next)
		}
		if _, err := c.each(func(e event.Event, _ error) bool { got = append(got, e); return true }); err != nil {
			t.Fatal(err)
		}
		next += int64(c.n)
	}
	return got
}

func waitFor(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for range 1000 {
		if ok() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("waited 10 s for %s", what)
}

func TestFailingDisk(t *testing.T) {
	t.Parallel()
	m := &memory{chunks: map[int64]chunk{}}
	w := newWriter(1, m)
	want := walk(400, 1)
	a, b := len(want)/3, 2*len(want)/3
	appendAll(t, w, want[:a])
	waitFor(t, "the first commit", func() bool { return w.Waiting() == 0 })
	if err := w.Err(); err != nil {
		t.Fatal(err)
	}
	first := errors.New("no space left")
	m.set(first)
	appendAll(t, w, want[a:b])
	waitFor(t, "an error", func() bool { return w.Err() != nil })
	m.set(errors.New("another"))
	appendAll(t, w, want[b:])
	if n := w.Waiting(); n != len(want)-a {
		t.Errorf("%d events wait, want %d", n, len(want)-a)
	}
	m.set(nil)
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	if w.Err() != first {
		t.Errorf("Err is %v, want the first error", w.Err())
	}
	if !m.now.complete || w.Waiting() != 0 {
		t.Errorf("not complete: %+v, %d waiting", m.now, w.Waiting())
	}
	compare(t, m.events(t), want)
}

func TestHangingDisk(t *testing.T) {
	t.Parallel()
	release := make(chan struct{})
	hangs := make(chan struct{}, 100)
	w := newWriter(1, diskFunc(func([]chunk, counts) error {
		hangs <- struct{}{}
		<-release
		return nil
	}))
	events := walk(60, 1)
	appendAll(t, w, events[:1])
	<-hangs
	appendAll(t, w, events[1:]) // hangs for ever if it waits for the disk
	close(release)
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
}

func TestEndGivesUp(t *testing.T) {
	t.Parallel()
	m := &memory{chunks: map[int64]chunk{}, fail: errors.New("no space left")}
	w := newWriter(7, m)
	want := walk(1, 1)
	appendAll(t, w, want)
	err := w.End()
	if err == nil || !strings.Contains(err.Error(), "session 7: its last ") || !strings.Contains(err.Error(), "no space left") {
		t.Errorf("got %v", err)
	}
	m.set(nil) // somebody has made room
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	if compare(t, m.events(t), want); !m.now.complete {
		t.Error("not complete")
	}
	if err := w.End(); err != errEnded {
		t.Errorf("one End more gives %v", err)
	}
}

// TestFullStore has SQLite itself refuse to grow, as it does on a full disk.
func TestFullStore(t *testing.T) {
	t.Parallel()
	s, _ := openTemp(t)
	s.db.SetMaxOpenConns(1) // the limit belongs to the connection
	w := begin(t, s)
	if _, err := s.db.Exec("PRAGMA max_page_count=20"); err != nil {
		t.Fatal(err)
	}
	want := walk(600, 1)
	appendAll(t, w, want)
	waitFor(t, "the disk to be full", func() bool { return w.Err() != nil })
	if msg := w.Err().Error(); !strings.Contains(msg, "full") {
		t.Errorf("got %q", msg)
	}
	if _, err := s.db.Exec("PRAGMA max_page_count=1000000"); err != nil {
		t.Fatal(err)
	}
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, s, w.ID()), want)
}

func TestAppendRefusesNaN(t *testing.T) {
	s, _ := openTemp(t)
	w := begin(t, s)
	appendAll(t, w, walk(1, 1))
	bad := event.Fault{T: math.NaN()}
	if err := w.Append(bad); err == nil || w.Err() == nil || w.Err().Error() != err.Error() {
		t.Errorf("Append gives %v, Err %v", err, w.Err())
	}
	if err := w.End(); err != nil {
		t.Fatal(err)
	}
	compare(t, readAll(t, s, w.ID()), walk(1, 1))
}
