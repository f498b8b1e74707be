package bus

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"sync"
	"time"

	"github.com/nats-io/nats.go"

	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
)

// remote follows a leader: its maps, its past and its clock.
type remote struct {
	b   *Bus
	ctx context.Context

	mu      sync.Mutex
	sign    sign
	heard   float64 // when the last sign came, on the machine's clock, s
	maps    news
	past    []group.Command
	term    int // of past
	clock   clock.Follower
	changed chan struct{}
	missing chan struct{} // something is to be asked for
}

// follow begins to follow whoever leads, until ctx is done.
func (b *Bus) follow(ctx context.Context) (*remote, error) {
	r := &remote{b: b, ctx: ctx, heard: b.o.Clock(), changed: make(chan struct{}), missing: make(chan struct{}, 1)}
	late := r.kept()
	for subject, f := range map[string]nats.MsgHandler{"maps": r.takeMaps, "lead": r.takeSign} {
		s, err := b.nc.Subscribe(b.base+subject, f)
		if err != nil {
			return nil, err
		}
		context.AfterFunc(ctx, func() { _ = s.Unsubscribe() })
	}
	if err := b.nc.FlushTimeout(patience); err != nil {
		return nil, err
	}
	r.take(late, true)
	r.ask()
	go r.exchange()
	go r.fetch()
	return r, nil
}

// kept is what the bucket has for who comes late.
func (r *remote) kept() (n news) {
	if r.b.kv == nil {
		return n
	}
	ctx, cancel := context.WithTimeout(r.ctx, patience)
	defer cancel()
	if e, err := r.b.kv.Get(ctx, "maps"); err == nil && json.Unmarshal(e.Value(), &n) != nil {
		n = news{}
	}
	return n
}

func (r *remote) takeMaps(m *nats.Msg) {
	var n news
	if json.Unmarshal(m.Data, &n) == nil {
		r.take(n, false)
	}
}

// take takes maps up unless newer ones are there.
func (r *remote) take(n news, old bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(n.Maps) == 0 || n.Term < r.maps.Term || n.Term == r.maps.Term && (old || n.News != 0 && n.News < r.maps.News && n.Site == r.maps.Site) {
		return
	}
	r.maps = n
	close(r.changed)
	r.changed = make(chan struct{})
}

// takeSign takes a leader's sign of life.
func (r *remote) takeSign(m *nats.Msg) {
	var s sign
	if json.Unmarshal(m.Data, &s) != nil || s.Site == r.b.o.Site {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if s.before(r.sign) && r.silent() < r.b.o.Silence {
		return
	}
	if s.Site != r.sign.Site && r.clock.Known() {
		r.clock.Moved()
	}
	r.sign, r.heard = s, r.b.o.Clock()
	if s.Term != r.term || s.Past > len(r.past) || s.Term > r.maps.Term || s.News > r.maps.News {
		r.ask()
	}
}

// silent is for how long no leader was heard, s.
func (r *remote) silent() float64 { return r.b.o.Clock() - r.heard }

// ask has fetch look for what is missing.
func (r *remote) ask() {
	select {
	case r.missing <- struct{}{}:
	default:
	}
}

// fetch asks the leader for what was missed.
func (r *remote) fetch() {
	for {
		select {
		case <-r.missing:
		case <-r.ctx.Done():
			return
		}
		var n news
		if r.b.ask(r.ctx, "now", struct{}{}, &n) == nil {
			r.mu.Lock()
			if r.sign.Site == n.Site {
				n.News = r.sign.News
			}
			r.mu.Unlock()
			r.take(n, false)
		}
		for r.fetchPast() {
		}
	}
}

// fetchPast gets one page of the past; false when there is no more.
func (r *remote) fetchPast() bool {
	r.mu.Lock()
	from, term := len(r.past), r.term
	r.mu.Unlock()
	var p group.Past
	if r.b.ask(r.ctx, "past", page{From: from}, &p) != nil {
		return false
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if p.Term != term && from > 0 { // another leader: it may have other commands
		r.past, r.term = nil, p.Term
		return true
	}
	r.term = p.Term
	r.past = append(r.past, p.Commands...)
	return len(p.Commands) > 0
}

// exchange keeps to the leader's clock: eight questions at once, then one each
// second.
func (r *remote) exchange() {
	for n := 0; ; n++ {
		pause := time.Second
		if n < 8 {
			pause = 40 * time.Millisecond
		}
		select {
		case <-time.After(pause):
		case <-r.ctx.Done():
			return
		}
		var p group.Pong
		t1 := r.b.o.Clock()
		if r.b.ask(r.ctx, "clock", group.Ping{Kind: group.KindPing, N: n, T1: t1}, &p) != nil || p.N != n {
			continue
		}
		t4 := r.b.o.Clock()
		r.mu.Lock()
		r.clock.Add(clock.Exchange{T1: t1, T2: p.T2, T3: p.T3, T4: t4, Spread: p.Spread})
		if r.clock.Spread(t4).Guess <= 0.005 {
			r.clock.Hold()
		}
		r.mu.Unlock()
	}
}

func (r *remote) known() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.clock.Known()
}

// now is the group time, s.
func (r *remote) now() float64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.clock.Group(r.b.o.Clock())
}

func (r *remote) spread() float64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	if s := r.clock.Spread(r.b.o.Clock()).Bound; !math.IsInf(s, 0) {
		return s
	}
	return 1e6 // not known yet, and JSON has no infinity
}

func (r *remote) command(ctx context.Context, c group.Command) error {
	var d group.Done
	if err := r.b.ask(ctx, "command", c, &d); err != nil {
		return errors.New("the leader does not answer; the beat goes on, try again: " + oneLine(err))
	}
	if d.Why != "" {
		return errors.New(d.Why)
	}
	return nil
}

// state is what is known of the leader. It copies nothing, as it is looked at
// often: maps and past must not be written to.
func (r *remote) state() (maps []group.Map, term int, past []group.Command, silent float64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.maps.Maps, max(r.term, r.maps.Term, r.sign.Term), slices.Clip(r.past), r.silent()
}
