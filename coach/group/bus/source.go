package bus

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/nats-io/nats.go"

	"steadfoot/coach/group"
	"steadfoot/coach/group/local"
)

// Part is how a hub takes part.
type Part struct {
	// Leader conducts from the start; nil follows whoever does.
	Leader *local.Source
	// TakeOver makes the conductor of a spare that takes over: of a term, on a
	// clock, with the commands so far. nil is no spare. It is not to be run.
	TakeOver func(term int, now func() float64, past []group.Command) (*local.Source, error)
}

// Source is a group.Source whose groups are shared over a bus. It conducts, or
// follows who does, and may change from one to the other.
type Source struct {
	b    *Bus
	part Part

	mu    sync.Mutex
	leads *local.Source  // nil while following
	rem   *remote        // nil while leading
	now   func() float64 // group time before rem knows it; may be nil
	hubs  map[string]site
}

// site is another hub with its walkers.
type site struct {
	seen    float64 // machine's clock, s
	address string
	pages   [][]group.Walker
}

// Join takes part until ctx is done.
func (b *Bus) Join(ctx context.Context, p Part) (*Source, error) {
	s := &Source{b: b, part: p, hubs: map[string]site{}}
	sub, err := b.nc.Subscribe(b.base+"rows.*", s.takeRows)
	if err != nil {
		return nil, err
	}
	context.AfterFunc(ctx, func() { _ = sub.Unsubscribe() })
	fctx, stop := context.WithCancel(ctx)
	rem, err := b.follow(fctx)
	if err != nil {
		stop()
		return nil, err
	}
	if p.Leader == nil {
		s.rem = rem
		go s.run(ctx, stop)
		return s, nil
	}
	// One sign of life of another leader is due within a second.
	select {
	case <-time.After(signEvery * 3 / 2):
	case <-ctx.Done():
	}
	rem.mu.Lock()
	other := rem.sign
	rem.mu.Unlock()
	if other.Site != "" {
		stop()
		return nil, fmt.Errorf("%q is led by the hub %q already; follow it, or stand by as its spare", b.o.Event, other.Site)
	}
	stop()
	s.leads = p.Leader
	go s.run(ctx, func() {})
	return s, nil
}

// run leads and follows in turn.
func (s *Source) run(ctx context.Context, stop context.CancelFunc) {
	for ctx.Err() == nil {
		s.mu.Lock()
		leads := s.leads
		s.mu.Unlock()
		if leads == nil {
			if next := s.standBy(ctx); next != nil {
				stop()
				stop = func() {}
				s.take(next)
			}
			continue
		}
		lctx, end := context.WithCancel(ctx)
		go leads.Run(lctx)
		err := s.b.lead(lctx, leads)
		end()
		if errors.Is(err, errGivesWay) {
			s.b.problem("another hub has taken over; this one follows it now")
			var fctx context.Context
			fctx, stop = context.WithCancel(ctx)
			if rem, err := s.b.follow(fctx); err == nil {
				s.giveUp(rem)
				continue
			} else {
				s.b.problem(oneLine(err))
			}
		}
		select {
		case <-time.After(signEvery):
		case <-ctx.Done():
		}
	}
	stop()
}

// standBy waits until it is this hub's turn to lead, and returns its conductor;
// nil when ctx is done or the groups are not known well enough.
func (s *Source) standBy(ctx context.Context) *local.Source {
	h := fnv.New32a()
	h.Write([]byte(s.b.o.Site))
	turn := s.b.o.Silence + float64(h.Sum32()%2000)/1000 // several spares do not jump up at once
	for {
		select {
		case <-time.After(200 * time.Millisecond):
		case <-ctx.Done():
			return nil
		}
		if s.part.TakeOver == nil {
			continue
		}
		s.mu.Lock()
		rem := s.rem
		s.mu.Unlock()
		_, term, past, silent := rem.state()
		if silent < turn || len(past) == 0 || !s.b.nc.IsConnected() {
			continue
		}
		next, err := s.part.TakeOver(term+1, rem.now, past)
		if err == nil {
			s.b.problem(fmt.Sprintf("the leader has been silent for %.0f s; this hub leads now", silent))
			return next
		}
		s.b.problem("taking over failed: " + oneLine(err))
	}
}

// take begins to lead.
func (s *Source) take(next *local.Source) {
	s.mu.Lock()
	defer s.mu.Unlock()
	rem := s.rem
	s.leads, s.rem, s.now = next, nil, nil
	rem.mu.Lock()
	defer rem.mu.Unlock()
	close(rem.changed)
	rem.changed = make(chan struct{})
}

// giveUp begins to follow.
func (s *Source) giveUp(rem *remote) {
	s.mu.Lock()
	defer s.mu.Unlock()
	was := s.leads
	s.leads, s.rem, s.now = nil, rem, was.Now
	was.Wake()
}

// either calls the one that is in charge.
func either[T any](s *Source, lead func(*local.Source) T, follow func(*remote) T) T {
	s.mu.Lock()
	leads, rem := s.leads, s.rem
	s.mu.Unlock()
	if leads != nil {
		return lead(leads)
	}
	return follow(rem)
}

// Now implements group.Source.
func (s *Source) Now() float64 {
	s.mu.Lock()
	before := s.now
	s.mu.Unlock()
	return either(s, (*local.Source).Now, func(r *remote) float64 {
		if before != nil && !r.known() {
			return before()
		}
		return r.now()
	})
}

// Spread implements group.Source.
func (s *Source) Spread() float64 { return either(s, (*local.Source).Spread, (*remote).spread) }

// Leads implements group.Source.
func (s *Source) Leads() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.leads != nil
}

// Maps implements group.Source.
func (s *Source) Maps() []group.Map {
	all := either(s, (*local.Source).Maps, func(r *remote) []group.Map {
		maps, _, _, _ := r.state()
		return slices.Clone(maps)
	})
	s.mu.Lock()
	defer s.mu.Unlock()
	spares := s.addresses()
	for i := range all {
		all[i].Spares = slices.Concat(all[i].Spares, spares)
	}
	return all
}

// addresses are where the members of this hub can go when it is gone.
func (s *Source) addresses() (all []string) {
	for _, h := range s.hubs {
		if h.address != "" && s.b.o.Clock()-h.seen < rowsLast {
			all = append(all, h.address)
		}
	}
	slices.Sort(all)
	return all
}

// Hosts are those of the other hubs, as far as they are known.
func (s *Source) Hosts() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var all []string
	for _, a := range s.addresses() {
		if host := group.HostOf(a); host != "" {
			all = append(all, host)
		}
	}
	return all
}

// SetSpares says where else the members go, where this hub leads.
func (s *Source) SetSpares(addresses []string) {
	s.mu.Lock()
	leads := s.leads
	s.mu.Unlock()
	if leads != nil {
		leads.SetSpares(addresses)
	}
}

// Changed implements group.Source.
func (s *Source) Changed() <-chan struct{} {
	return either(s, (*local.Source).Changed, func(r *remote) <-chan struct{} {
		r.mu.Lock()
		defer r.mu.Unlock()
		return r.changed
	})
}

// Command implements group.Source.
func (s *Source) Command(ctx context.Context, c group.Command) error {
	return either(s, func(l *local.Source) error { return l.Command(ctx, c) }, func(r *remote) error { return r.command(ctx, c) })
}

// Past implements group.Source.
func (s *Source) Past() (int, []group.Command) {
	s.mu.Lock()
	leads, rem := s.leads, s.rem
	s.mu.Unlock()
	if leads != nil {
		return leads.Past()
	}
	_, term, past, _ := rem.state()
	return term, past
}

// Report implements group.Source.
func (s *Source) Report(all []group.Walker) {
	pages := (len(all) + rowsPerPage - 1) / rowsPerPage
	for i := range max(pages, 1) {
		part := all[min(i*rowsPerPage, len(all)):min((i+1)*rowsPerPage, len(all))]
		if err := s.b.publish("rows."+s.b.o.Site, rows{s.b.o.Site, s.b.o.Address, i, max(pages, 1), part}); err != nil {
			s.b.problem("the bus takes nothing: " + oneLine(err))
			return
		}
	}
}

func (s *Source) takeRows(m *nats.Msg) {
	var r rows
	if json.Unmarshal(m.Data, &r) != nil || r.Site == s.b.o.Site || r.Page < 0 || r.Page >= r.Pages || r.Pages > 100 || !strings.HasSuffix(m.Subject, "."+r.Site) {
		return
	}
	for i := range r.Rows {
		r.Rows[i].Hub = r.Site
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	h := s.hubs[r.Site]
	if len(h.pages) != r.Pages {
		h.pages = make([][]group.Walker, r.Pages)
	}
	h.pages[r.Page], h.seen, h.address = r.Rows, s.b.o.Clock(), r.Address
	s.hubs[r.Site] = h
}

// rowsLast is how long rows stay without being told again, s.
const rowsLast = 10.0

// Others implements group.Source.
func (s *Source) Others() []group.Walker {
	s.mu.Lock()
	defer s.mu.Unlock()
	var names []string
	for name, h := range s.hubs {
		if s.b.o.Clock()-h.seen > rowsLast {
			delete(s.hubs, name)
			continue
		}
		names = append(names, name)
	}
	slices.Sort(names)
	var all []group.Walker
	for _, name := range names {
		all = append(all, slices.Concat(s.hubs[name].pages...)...)
	}
	return all
}
