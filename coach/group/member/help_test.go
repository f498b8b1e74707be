package member

import (
	"context"
	"fmt"
	"net"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
)

const word = "gravel"

// clockwork is the true time of a test: seconds on the machine's monotonic clock.
var began = time.Now()

func trueTime() float64 { return time.Since(began).Seconds() }

// site is a real hub with a group that walks to 180 steps/min.
type site struct {
	hub    *hub.Hub
	src    *local.Source
	server *httptest.Server
	ahead  float64 // group time less true time, s
}

func newSite(t *testing.T, ahead float64, term int) *site {
	t.Helper()
	s := &site{ahead: ahead}
	now := func() float64 { return trueTime() + ahead }
	var err error
	if s.src, err = local.New(local.Options{Now: now, Term: term, Groups: []string{"one"}}); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	go s.src.Run(ctx)
	if s.hub, err = hub.New(hub.Options{Source: s.src, Word: word, Key: "a secret", PerAddress: -1}); err != nil {
		t.Fatal(err)
	}
	s.server = httptest.NewServer(s.hub)
	t.Cleanup(func() {
		cancel()
		s.hub.Close()
		s.server.Close()
	})
	s.order(t, group.Command{Do: group.DoTarget, Group: "one", Cadence: 180})
	return s
}

func (s *site) order(t *testing.T, c group.Command) {
	t.Helper()
	if err := s.src.Command(context.Background(), c); err != nil {
		t.Fatal(err)
	}
}

func (s *site) addr() string { return s.server.Listener.Addr().String() }

// walker joins by an address and waits until the beat can play. Its clock runs
// at 1+rate.
func walker(t *testing.T, rate float64, addresses ...string) *Member {
	t.Helper()
	m := enter(t, rate, addresses...)
	ready(t, m)
	return m
}

// enter joins without waiting.
func enter(t *testing.T, rate float64, addresses ...string) *Member {
	t.Helper()
	m, err := Join(t.Context(), Options{
		Addresses: addresses, Name: "Mira Tal", Word: word, Way: "program",
		Clock: func() float64 { return trueTime() * (1 + rate) },
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	return m
}

func ready(t *testing.T, m *Member) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := m.Ready(ctx); err != nil {
		t.Fatalf("not ready: %v", err)
	}
}

// until waits for something that must come.
func until(t *testing.T, what string, f func() bool) {
	t.Helper()
	for range 2000 {
		if f() {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatalf("in vain for 20 s: %s", what)
}

// told collects lines.
type told struct {
	mu    sync.Mutex
	lines []string
}

func (t *told) add(line string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.lines = append(t.lines, line)
}

func (t *told) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return fmt.Sprint(t.lines)
}

// nowhere is an address where nobody listens.
func nowhere(t *testing.T) string {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}
