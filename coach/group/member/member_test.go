package member

import (
	"errors"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/relay"
	"steadfoot/detect"
)

// serve returns the address of a server that is closed when the test ends.
func serve(t *testing.T, h http.Handler) string {
	s := httptest.NewServer(h)
	t.Cleanup(s.Close)
	return s.Listener.Addr().String()
}

// TestTakesPart: the map comes, and when it changes; report and steps arrive.
func TestTakesPart(t *testing.T) {
	t.Parallel()
	s := newSite(t, 100, 1)
	m := walker(t, 50e-6, s.addr())
	first, _ := m.Map()
	changed := m.Changed()
	s.order(t, group.Command{Do: group.DoShift, Group: "one", By: 4})
	<-changed
	until(t, "the new map", func() bool { now, _ := m.Map(); return now.Newer(first) })
	now := m.Now()
	if off := m.GroupAt(now) - (now/(1+50e-6) + s.ahead); math.Abs(off) > 5e-3 {
		t.Errorf("group time off by %g s", off)
	}

	m.Report(group.Status{Hears: group.HearsWalking, Cadence: 181})
	var steps []event.Step
	for i := range 100 {
		steps = append(steps, event.Step{Step: detect.Step{T: now - 30 + 0.3123456789*float64(i), Side: detect.Right, Confidence: 1.0 / 3, Heard: true}})
	}
	m.Steps(steps)
	boards := make(chan group.Board, 100)
	b, err := Join(t.Context(), Options{Addresses: []string{s.addr()}, Key: "a secret", Got: func(msg any) {
		if b, ok := msg.(group.Board); ok {
			select {
			case boards <- b:
			default:
			}
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	until(t, "the report on the board", func() bool {
		w := (<-boards).Walkers
		return len(w) == 1 && w[0].Here && w[0].Last.Cadence == 181 && w[0].Last.Clock > 0 && w[0].Name == "Mira Tal"
	})
	until(t, "that all steps are sent", func() bool {
		m.mu.Lock()
		defer m.mu.Unlock()
		return len(m.steps) == 0
	})
	if !m.Connected() {
		t.Error("the hub ended the connection")
	}
}

// TestLosesTheHub: while the network is away the beat goes on, and the member
// comes back to the same seat by itself.
func TestLosesTheHub(t *testing.T) {
	t.Parallel()
	s := newSite(t, 100, 1)
	r, err := relay.Listen(s.addr(), relay.Link{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	m := walker(t, 0, r.Addr())
	was := m.Welcome()
	r.Cut(true)
	until(t, "the loss to be seen", func() bool { return !m.Connected() })
	before := m.Spread()
	if _, ok := m.Map(); !ok || !m.Known() {
		t.Error("the map or the clock went with the connection")
	}
	time.Sleep(300 * time.Millisecond)
	now := m.Now()
	if off := m.GroupAt(now) - now - s.ahead; math.Abs(off) > 2e-3 {
		t.Errorf("alone, off by %g s", off)
	}
	if after := m.Spread(); after.Bound <= before.Bound {
		t.Errorf("the uncertainty does not grow: %+v", after)
	}
	r.Cut(false)
	until(t, "the connection to be back", m.Connected)
	if is := m.Welcome(); is.Seat != was.Seat || is.ID != was.ID || is.Name != was.Name {
		t.Errorf("came back as %+v, was %+v", is, was)
	}
}

// TestSpareTakesOver: the leader dies, and the spare that the map named leads on
// with a clock 3 ms off. Group time does not step.
func TestSpareTakesOver(t *testing.T) {
	t.Parallel()
	leader, spare := newSite(t, 100, 1), newSite(t, 100.003, 2)
	leader.src.SetSpares([]string{spare.addr()})
	m := walker(t, 0, leader.addr())
	until(t, "the spare to be known", func() bool { b, _ := m.Map(); return len(b.Spares) == 1 })
	until(t, "the beat to play", func() bool {
		b, _ := m.Map()
		return b.State == group.Walking && m.GroupAt(m.Now()) > b.At+group.Ahead
	})
	leader.hub.Close()
	leader.server.Close()
	l := m.Now()
	g := m.GroupAt(l)
	until(t, "the spare", func() bool {
		nextL := m.Now()
		nextG := m.GroupAt(nextL)
		if d := nextL - l; nextG < g || nextG-g > d*(1+1e-3)+1e-9 {
			t.Fatalf("group time went from %.6f to %.6f in %.6f s", g, nextG, d)
		}
		l, g = nextL, nextG
		b, _ := m.Map()
		return b.Term == 2 && m.Connected()
	})
	until(t, "the spare's clock", func() bool {
		now := m.Now()
		return math.Abs(m.GroupAt(now)-now-spare.ahead) < 1.5e-3
	})
	if n := m.Link().Jumps; n != 0 {
		t.Errorf("%d jumps", n)
	}
}

// TestOlderMap: a hub that has lost its past is not believed: neither its map nor
// its clock.
func TestOlderMap(t *testing.T) {
	t.Parallel()
	good, fresh := newSite(t, 100, 2), newSite(t, 3, 1)
	m := walker(t, 0, good.addr(), fresh.addr())
	good.hub.Close()
	good.server.Close()
	until(t, "the loss to be seen", func() bool { return !m.Connected() })
	until(t, "the other hub", m.Connected)
	time.Sleep(time.Second)
	now := m.Now()
	if b, _ := m.Map(); b.Term != 2 || math.Abs(m.GroupAt(now)-now-100) > 5e-3 {
		t.Errorf("took term %d and group time %g", b.Term, m.GroupAt(now)-now)
	}
}

// TestRefused: what lasts ends the member, with the reason.
func TestRefused(t *testing.T) {
	t.Parallel()
	s := newSite(t, 0, 1)
	for _, o := range []Options{
		{Name: "Jon Ash", Word: "sand"},
		{Name: "Jon Ash", Word: word, Group: "three"},
		{Key: "guessed"},
	} {
		o.Addresses = []string{s.addr()}
		m, err := Join(t.Context(), o)
		if err != nil {
			t.Fatal(err)
		}
		select {
		case <-m.Done():
		case <-time.After(20 * time.Second):
			t.Fatalf("%+v: still trying", o)
		}
		if refused := (*Refused)(nil); !errors.As(m.Err(), &refused) || refused.Why == "" || m.Ready(t.Context()) == nil {
			t.Errorf("ended with %v", m.Err())
		}
	}
	m := walker(t, 0, s.addr())
	s.order(t, group.Command{Do: group.DoShift, Group: "one", By: 1})
	second, err := Join(t.Context(), Options{Addresses: []string{s.addr()}, Name: "Mira Tal", Word: word, Seat: m.Welcome().Seat})
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	<-m.Done()
	if code(m.Err()) != group.SorryElsewhere {
		t.Errorf("ended with %v", m.Err())
	}
}

// TestOptions: what is wrong is told at once.
func TestOptions(t *testing.T) {
	for want, o := range map[string]Options{
		"a hub's address is needed": {Name: "x"},
		"is not the address":        {Name: "x", Addresses: []string{"ws://"}},
		"is reached by ws":          {Name: "x", Addresses: []string{"ftp://host"}},
		"needs a name":              {Name: "  ", Addresses: []string{"host:1"}},
	} {
		if _, err := Join(t.Context(), o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
	for in, want := range map[string]string{
		"host:81":               "ws://host:81/member",
		"http://10.0.0.7:80/#w": "ws://10.0.0.7:80/member",
		"https://host/board":    "wss://host/member",
	} {
		if got, err := (&Options{}).url(in); got != want || err != nil {
			t.Errorf("%s: %s (%v), want %s", in, got, err, want)
		}
	}
}

// TestNobody: without a hub a member keeps trying, says so, and can be closed.
func TestNobody(t *testing.T) {
	t.Parallel()
	var lines told
	m, err := Join(t.Context(), Options{Addresses: []string{nowhere(t)}, Name: "Jon Ash", Tell: lines.add})
	if err != nil {
		t.Fatal(err)
	}
	until(t, "a word about it", func() bool { return strings.Contains(lines.String(), "no connection") })
	m.Report(group.Status{})
	for range 30 {
		m.Steps(make([]event.Step, 100))
	}
	if n := len(m.steps); n != mostKept {
		t.Errorf("%d steps are kept", n)
	}
	m.Close()
	if m.Err() != nil || m.Connected() {
		t.Errorf("closed: %v", m.Err())
	}
}
