package member

import (
	"context"
	"crypto/sha256"
	"errors"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/relay"
)

// TestLeavesOlder: a hub that knows an earlier leader only is left for one that knows
// the present one, where the walker has the seat of before.
func TestLeavesOlder(t *testing.T) {
	t.Parallel()
	good, older := newSite(t, 100, 2), newSite(t, 100, 1)
	r, err := relay.Listen(good.addr(), relay.Link{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	m := walker(t, 0, r.Addr(), older.addr())
	was := m.Welcome()
	r.Cut(true)
	until(t, "the older hub", func() bool { return m.Connected() && m.Welcome().ID != was.ID })
	r.Cut(false)
	good.order(t, group.Command{Do: group.DoShift, Group: "one", By: 4})
	until(t, "the present map", func() bool { b, _ := m.Map(); return max(b.Target.Cadence, b.Coming.Cadence) == 184 })
	if is := m.Welcome(); is.Seat != was.Seat || is.ID != was.ID || is.Name != was.Name {
		t.Errorf("came back as %+v, was %+v", is, was)
	}
}

// TestTrustsSpare: the leader tells by which certificate a spare is known; one with
// another certificate is no spare.
func TestTrustsSpare(t *testing.T) {
	t.Parallel()
	leader, spare := newSite(t, 100, 1), newSite(t, 100, 2)
	server := httptest.NewTLSServer(spare.hub)
	t.Cleanup(server.Close)
	sum := sha256.Sum256(server.Certificate().Raw)
	right := WithTrust("https://"+server.Listener.Addr().String(), sum[:])
	sum[0]++
	wrong := WithTrust("https://"+server.Listener.Addr().String()+"/", sum[:])
	if strings.Contains(wrong, "//#") || group.CleanAddress(right) != right || len(right) > 150 {
		t.Errorf("addresses %s and %s", right, wrong)
	}
	if trusted("http://10.0.0.2:8470/#trust=00") != nil || trusted("10.0.0.2:8470/#word=x") != nil {
		t.Error("half a fingerprint is trusted")
	}
	leader.src.SetSpares([]string{wrong})
	var lines told
	m, err := Join(t.Context(), Options{Addresses: []string{leader.addr()}, Name: "Mira Tal", Word: word, Tell: lines.add})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	ready(t, m)
	r, _ := m.Map()
	if len(r.Spares) != 1 {
		t.Fatalf("spares %q", r.Spares)
	}
	leader.hub.Close()
	leader.server.Close()
	until(t, "the refusal", func() bool { return strings.Contains(lines.String(), "certificate is not the one") })

	n, err := Join(t.Context(), Options{Addresses: []string{right}, Name: "Jon Ash", Word: word})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(n.Close)
	ready(t, n)
	if m.Connected() {
		t.Error("the one with the other fingerprint is connected")
	}
}

// TestCommand: who has the key can command, and hears what was wrong.
func TestCommand(t *testing.T) {
	t.Parallel()
	s := newSite(t, 0, 1)
	m, err := Join(t.Context(), Options{Addresses: []string{s.addr()}, Key: "a secret"})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	until(t, "the hub", m.Connected)
	order := func(c group.Command) error {
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		defer cancel()
		return m.Command(ctx, c)
	}
	if err := order(group.Command{Do: group.DoShift, Group: "one", By: 4}); err != nil {
		t.Error(err)
	}
	if got := s.src.Maps()[0]; max(got.Target.Cadence, got.Coming.Cadence) != 184 {
		t.Errorf("the map after it is %+v", got)
	}
	if err := order(group.Command{Do: group.DoTarget, Group: "one", Cadence: 2}); err == nil || !strings.Contains(err.Error(), "allowed: 90 to 240") {
		t.Errorf("a bad one: %v", err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	_ = m.Command(gone, group.Command{Do: group.DoStop}) // the answer may be quicker
	m.orders.mu.Lock()
	if n := len(m.orders.open); n > 0 {
		t.Errorf("%d answers are waited for", n)
	}
	m.orders.mu.Unlock()
	s.hub.Close()
	until(t, "the loss", func() bool { return !m.Connected() })
	if err := order(group.Command{Do: group.DoStop}); err == nil || !strings.Contains(err.Error(), "cannot be reached") {
		t.Errorf("without a hub: %v", err)
	}
}

// TestOnce: one connection, and why it ended.
func TestOnce(t *testing.T) {
	t.Parallel()
	s := newSite(t, 0, 1)
	m, err := Join(t.Context(), Options{Addresses: []string{nowhere(t), s.addr()}, Key: "a secret", Once: true})
	if err != nil {
		t.Fatal(err)
	}
	<-m.Done()
	if m.Err() == nil || m.Connected() {
		t.Errorf("ended with %v", m.Err())
	}
	if m, err = Join(t.Context(), Options{Addresses: []string{s.addr()}, Key: "guessed", Once: true}); err != nil {
		t.Fatal(err)
	}
	<-m.Done()
	if no := (*Refused)(nil); !errors.As(m.Err(), &no) {
		t.Errorf("ended with %v", m.Err())
	}
}
