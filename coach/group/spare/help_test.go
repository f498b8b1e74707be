package spare

import (
	"context"
	"fmt"
	"math"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"steadfoot/coach"
	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
	"steadfoot/coach/group/member"
	"steadfoot/coach/group/relay"
)

const (
	word = "gravel"
	key  = "5f2c-91aa-03de"
)

var began = time.Now()

// trueTime is the true time of a test, s.
func trueTime() float64 { return time.Since(began).Seconds() }

// place is a hub of a group that a test can kill.
type place struct {
	*Source
	t       *testing.T
	hub     *hub.Hub
	server  *http.Server
	inner   string       // where it listens
	net     *relay.Relay // by which all others reach it
	address string       // of that
	clock   func() float64
	stop    context.CancelFunc
	gone    chan struct{} // closed when it was killed

	mu   sync.Mutex
	said []string
}

// options of a place.
type options struct {
	back   *place  // comes back in place of that
	offset float64 // of its machine's clock, s
	ppm    float64 // by which that runs faster
	of     string  // address of the leader; "": leads
	term   int     // of one that leads
	now    func() float64
	past   []group.Command
	key    string
	word   string
	silent float64
}

// open starts a hub.
func open(t *testing.T, o options) *place {
	t.Helper()
	p, err := tryOpen(t, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func tryOpen(t *testing.T, o options) (*place, error) {
	t.Helper()
	if o.key == "" {
		o.key = key
	}
	if o.word == "" {
		o.word = word
	}
	if o.silent == 0 {
		o.silent = 1
	}
	p := &place{t: t, inner: "127.0.0.1:0", gone: make(chan struct{})}
	if o.back != nil {
		p.inner, p.net = o.back.inner, o.back.net
	}
	var l net.Listener
	until(t, "the port", func() (ok bool) { // one that was killed may hold it for a moment
		var err error
		l, err = net.Listen("tcp", p.inner)
		return err == nil
	})
	p.inner = l.Addr().String()
	var err error
	if p.net == nil {
		if p.net, err = relay.Listen(p.inner, relay.Link{}, 1); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(p.net.Close)
	}
	p.address = "http://" + p.net.Addr()
	p.clock = func() float64 { return o.offset + trueTime()*(1+o.ppm*1e-6) }
	ctx, cancel := context.WithCancel(context.Background())
	p.stop = cancel
	so := Options{
		Key: o.key, Word: o.word, Address: p.address, Clock: p.clock, Silence: o.silent, Tell: p.tell, Of: o.of,
		TakeOver: func(term int, now func() float64, past []group.Command) (*local.Source, error) {
			zero := now() - p.clock()
			return local.New(local.Options{Now: func() float64 { return p.clock() + zero }, Term: term, Past: past})
		},
	}
	if o.of == "" {
		if o.now == nil {
			zero := p.clock()
			o.now = func() float64 { return p.clock() - zero }
		}
		if so.Leader, err = local.New(local.Options{Now: o.now, Term: max(o.term, 1), Past: o.past, Groups: []string{"juniors", "seniors"}}); err != nil {
			t.Fatal(err)
		}
	}
	if p.Source, err = Open(ctx, so); err != nil {
		cancel()
		l.Close()
		return nil, err
	}
	p.hub, err = hub.New(hub.Options{Source: p.Source, Word: o.word, Key: o.key, PerAddress: -1, Address: p.address, Outranked: p.Outranked})
	if err != nil {
		t.Fatal(err)
	}
	p.server = &http.Server{Handler: p.hub}
	go p.server.Serve(l)
	t.Cleanup(p.kill)
	p.net.Cut(false)
	return p, nil
}

// kill ends the hub without a word to anybody, as the end of its process does.
func (p *place) kill() {
	select {
	case <-p.gone:
		return
	default:
	}
	close(p.gone)
	p.net.Cut(true)
	p.stop()
	p.server.Close()
	p.hub.Close()
	<-p.Done()
}

func (p *place) tell(line string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.said = append(p.said, line)
}

func (p *place) mentions(text string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.ContainsFunc(p.said, func(s string) bool { return strings.Contains(s, text) })
}

func (p *place) String() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.Join(p.said, "\n")
}

func (p *place) order(c group.Command) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if err := p.Command(ctx, c); err != nil {
		p.t.Fatalf("%s: %v", c.Do, err)
	}
}

func (p *place) term() int { return termOf(p.Maps()) }

func (p *place) target(i int) float64 {
	m := p.Maps()
	if len(m) <= i {
		return 0
	}
	return max(m[i].Coming.Cadence, m[i].Target.Cadence)
}

// knows tells whether a spare could take over well.
func (p *place) knows(commands int) bool {
	_, past := p.Past()
	return len(past) == commands && len(p.Maps()) == 2 && p.Spread() < 2e-3
}

// join is a walker whose clock is apart from the others' and runs faster by ppm.
func join(t *testing.T, ppm float64, addresses ...string) *member.Member {
	t.Helper()
	m, err := member.Join(t.Context(), member.Options{
		Addresses: addresses, Name: "Mira Tal", Word: word, Way: "program",
		Clock: func() float64 { return 70 + trueTime()*(1+ppm*1e-6) },
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(m.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if err := m.Ready(ctx); err != nil {
		t.Fatalf("not ready: %v", err)
	}
	return m
}

// until waits for something that must come, however slow the machine.
func until(t *testing.T, what string, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if ok() {
			return
		}
	}
	t.Fatalf("%s: did not come", what)
}

func termAt(m *member.Member) int {
	b, _ := m.Map()
	return b.Term
}

// beats are those that a member schedules in a stretch of group time: their sides,
// and their times on the member's own clock.
func beats(m *member.Member, from, to float64) (all []beat) {
	b, _ := m.Map()
	b.Beats().Between(from, to, func(x coach.Beat) { all = append(all, beat{x.Side.String(), m.LocalAt(x.T)}) })
	return all
}

type beat struct {
	side string
	at   float64 // s
}

// sameBeats compares two schedules of one stretch: as many beats, of the same feet,
// each within some s of where it was.
func sameBeats(before, after []beat, within float64) error {
	if len(before) != len(after) || len(before) == 0 {
		return fmt.Errorf("%d beats, before %d", len(after), len(before))
	}
	for i, b := range before {
		if d := math.Abs(after[i].at - b.at); d > within || after[i].side != b.side {
			return fmt.Errorf("beat %d, %s, has moved by %.2f ms, is %s", i, b.side, 1000*d, after[i].side)
		}
	}
	return nil
}
