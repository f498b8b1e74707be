package hub

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

// source is a group.Source with a clock that stands still until it is set.
type source struct {
	mu       sync.Mutex
	now      float64
	term     int
	maps     []group.Map
	changed  chan struct{}
	past     []group.Command
	spares   []string
	others   []group.Walker
	reported []group.Walker
}

func newSource(groups ...string) *source {
	s := &source{now: 1000, term: 1, changed: make(chan struct{})}
	for _, g := range groups {
		s.maps = append(s.maps, group.Map{Group: g, Term: 1, Seq: 1, State: group.Waiting})
	}
	return s
}

// do changes the source under its lock.
func (s *source) do(f func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f()
	close(s.changed)
	s.changed = make(chan struct{})
}

func (s *source) Now() float64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

func (s *source) advance(by float64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now += by
}

func (s *source) Spread() float64 { return 0.001 }
func (s *source) Leads() bool     { return true }

func (s *source) Maps() []group.Map {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.maps)
}

func (s *source) Changed() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changed
}

func (s *source) Command(_ context.Context, c group.Command) error {
	if c.Do == group.DoPause {
		return errors.New("nothing is walking")
	}
	s.do(func() {
		s.past = append(s.past, c)
		for i := range s.maps {
			s.maps[i].Seq++
		}
	})
	return nil
}

func (s *source) Past() (int, []group.Command) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.term, slices.Clone(s.past)
}

func (s *source) Report(w []group.Walker) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.reported = w
}

func (s *source) Others() []group.Walker {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.others
}

func (s *source) SetSpares(at []string) { s.do(func() { s.spares = at }) }

// place is a hub with its source, and a server before it.
type place struct {
	*Hub
	t      *testing.T
	src    *source
	server *httptest.Server

	mu     sync.Mutex
	stored []event.Event
}

const (
	word = "heron"
	key  = "5f2c-91aa-03de"
)

// open starts a hub with two groups; change may alter its options.
func open(t *testing.T, change func(*Options)) *place {
	t.Helper()
	pl := &place{t: t, src: newSource("Seniors", "Juniors")}
	o := Options{Source: pl.src, Word: word, Key: key, Outranked: func(int, string) {}, Stored: func(_ group.Walker, e []event.Event) {
		pl.mu.Lock()
		defer pl.mu.Unlock()
		pl.stored = append(pl.stored, e...)
	}}
	if change != nil {
		change(&o)
	}
	h, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	pl.Hub = h
	pl.server = httptest.NewServer(h)
	t.Cleanup(func() {
		h.Close()
		pl.server.Close()
	})
	return pl
}

// client is the other side of a connection.
type client struct {
	t    *testing.T
	conn *websocket.Conn
}

// patience is how long a test waits for what must come, s. It is never waited for
// when all is well.
const patience = 20 * time.Second

func (pl *place) dial(path string) *client {
	pl.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	c, _, err := websocket.Dial(ctx, strings.Replace(pl.server.URL, "http", "ws", 1)+path, nil)
	if err != nil {
		pl.t.Fatal(err)
	}
	c.SetReadLimit(-1)
	pl.t.Cleanup(func() { c.CloseNow() })
	return &client{pl.t, c}
}

func (c *client) send(message any) {
	c.t.Helper()
	b, ok := message.(string)
	if !ok {
		j, err := json.Marshal(message)
		if err != nil {
			c.t.Fatal(err)
		}
		b = string(j)
	}
	// An error is one that the next read sees, too.
	_ = c.conn.Write(context.Background(), websocket.MessageText, []byte(b))
}

// next returns the next message of type T; others are passed over. A Sorry that
// was not asked for, or the end, fails the test.
func next[T any](c *client) T {
	c.t.Helper()
	for {
		m := c.read()
		if m, ok := m.(T); ok {
			return m
		}
		if s, ok := m.(group.Sorry); ok {
			c.t.Fatalf("sorry %q: %s", s.Code, s.Why)
		}
	}
}

func (c *client) read() any {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	_, b, err := c.conn.Read(ctx)
	if err != nil {
		c.t.Fatal(err)
	}
	m, err := group.DecodeHub(b)
	if err != nil {
		c.t.Fatal(err)
	}
	return m
}

// refused waits for the Sorry with a code, and the end of the connection.
func (c *client) refused(code string) group.Sorry {
	c.t.Helper()
	for {
		if s, ok := c.read().(group.Sorry); ok {
			if s.Code != code {
				c.t.Fatalf("sorry %q (%s), want %q", s.Code, s.Why, code)
			}
			c.ends()
			return s
		}
	}
}

// ends waits for the end of the connection, and returns how it came.
func (c *client) ends() error {
	c.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	for {
		if _, _, err := c.conn.Read(ctx); err != nil {
			if ctx.Err() != nil {
				c.t.Fatal("the connection stays")
			}
			return err
		}
	}
}

func joining(name string) group.Join {
	return group.Join{Kind: group.KindJoin, Version: group.Version, Word: word, Name: name, Agree: true}
}

// join returns a member that has joined.
func (pl *place) join(j group.Join) (*client, group.Welcome) {
	pl.t.Helper()
	c := pl.dial("/member")
	c.send(j)
	return c, next[group.Welcome](c)
}

// board returns a board that has the key.
func (pl *place) board(spare string) *client {
	pl.t.Helper()
	c := pl.dial("/board")
	c.send(group.Key{Kind: group.KindKey, Version: group.Version, Key: key, Spare: spare})
	return c
}

// until waits for something that other goroutines bring about.
func (pl *place) until(what string, is func() bool) {
	pl.t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(end) {
			pl.t.Fatal("it does not come about: " + what)
		}
	}
}

// row returns the board's row of a walker.
func (pl *place) row(id string) group.Walker {
	for _, w := range pl.Walkers() {
		if w.ID == id {
			return w
		}
	}
	return group.Walker{}
}

var _ http.Handler = (*Hub)(nil)
