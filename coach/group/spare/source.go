package spare

import (
	"context"
	"errors"
	"slices"
	"sync"

	"steadfoot/coach/group"
	"steadfoot/coach/group/local"
)

// Options say how a hub shares its groups with spares.
type Options struct {
	// Leader conducts from the start; nil follows the hub at Of.
	Leader *local.Source
	Of     string // address of the leader, see member.Options.Addresses
	// Key is the leader's, Word that of entry: both hubs have the same.
	Key, Word string
	// Address is where members and other hubs find this one.
	Address string
	// Clock is the machine's monotonic clock, s; needed.
	Clock func() float64
	// Silence is how long the leader may be silent before a spare takes over, s; 0
	// is 5.
	Silence float64
	// TakeOver makes the conductor of a spare that takes over: of a term, on a
	// clock, with the commands so far. It is not to be run. Needed.
	TakeOver func(term int, now func() float64, past []group.Command) (*local.Source, error)
	// Tell takes a line for the person who runs the hub; may be nil.
	Tell func(string)
}

// Source is a group.Source that conducts, or follows another hub that does, and may
// change from one to the other.
type Source struct {
	o      Options
	orders chan func(context.Context)
	done   chan struct{} // closed when it has ended
	first  bool          // no leader's word was compared yet; of run

	mu     sync.Mutex
	leads  *local.Source      // nil while following
	up     *upstream          // nil while leading
	was    *local.Source      // conducted here before up was there; nil: none did
	spares []string           // addresses of those who follow this hub
	peers  []string           // addresses of other hubs that were heard of
	names  map[string]string  // what the hubs at peers call themselves
	rest   map[string]float64 // until when a peer is not asked, as it looks at no keys, s
	hosts  []string           // whose pages may come here
	away   bool               // it was told that the leader cannot be reached
	err    error
}

// Open begins to lead or to follow, until ctx is done.
func Open(ctx context.Context, o Options) (*Source, error) {
	switch {
	case o.Clock == nil || o.TakeOver == nil || o.Address == "":
		return nil, errors.New("spare: a clock, an address, and what takes over, are needed")
	case o.Leader == nil && o.Of == "":
		return nil, errors.New("spare: who is to be followed?")
	}
	if o.Silence == 0 {
		o.Silence = silence
	}
	if o.Tell == nil {
		o.Tell = func(string) {}
	}
	s := &Source{o: o, leads: o.Leader, names: map[string]string{}, rest: map[string]float64{}, orders: make(chan func(context.Context), 16), done: make(chan struct{})}
	if o.Leader == nil {
		s.first = true
		s.meet(o.Of)
		up, err := s.follow(ctx, []string{o.Of}, known{}, nil)
		if err != nil {
			return nil, err
		}
		s.up = up
	}
	go s.run(ctx)
	return s, nil
}

// Done is closed when the Source has ended; Err tells why: the leader has refused it
// at the first time, or nil when the context was done.
func (s *Source) Done() <-chan struct{} { return s.done }

// Err is described at Done.
func (s *Source) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// either calls the one that is in charge.
func either[T any](s *Source, lead func(*local.Source) T, follow func(*upstream) T) T {
	s.mu.Lock()
	leads, up := s.leads, s.up
	s.mu.Unlock()
	if leads != nil {
		return lead(leads)
	}
	return follow(up)
}

// Now implements group.Source.
func (s *Source) Now() float64 { return either(s, (*local.Source).Now, (*upstream).group) }

// Spread implements group.Source.
func (s *Source) Spread() float64 { return either(s, (*local.Source).Spread, (*upstream).spread) }

// Leads implements group.Source.
func (s *Source) Leads() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.leads != nil
}

// Maps implements group.Source. While a leader's clock is not known there are none,
// unless some were conducted here before.
func (s *Source) Maps() []group.Map {
	s.mu.Lock()
	leads, up, was := s.leads, s.up, s.was
	s.mu.Unlock()
	switch {
	case leads != nil:
		return leads.Maps()
	case up.ready():
		return up.maps()
	case was != nil:
		return was.Maps()
	}
	return nil
}

// maps are those of the leader; its own address is among the spares for who came
// here first.
func (u *upstream) maps() []group.Map {
	k, _ := u.look()
	all := slices.Clone(k.maps)
	for i := range all {
		if k.leader != "" && !slices.Contains(all[i].Spares, k.leader) {
			all[i].Spares = append([]string{k.leader}, all[i].Spares...)
		}
	}
	return all
}

// Changed implements group.Source.
func (s *Source) Changed() <-chan struct{} {
	return either(s, (*local.Source).Changed, func(u *upstream) <-chan struct{} {
		u.mu.Lock()
		defer u.mu.Unlock()
		return u.changed
	})
}

// Command implements group.Source: one that follows passes it on.
func (s *Source) Command(ctx context.Context, c group.Command) error {
	return either(s,
		func(l *local.Source) error { return l.Command(ctx, c) },
		func(u *upstream) error { return u.link.Command(ctx, c) })
}

// Past implements group.Source.
func (s *Source) Past() (int, []group.Command) {
	s.mu.Lock()
	leads, up := s.leads, s.up
	s.mu.Unlock()
	if leads != nil {
		return leads.Past()
	}
	k, _ := up.look()
	return k.of, slices.Clip(k.past)
}

// Report implements group.Source: the leader's board shows them as well.
func (s *Source) Report(all []group.Walker) {
	s.mu.Lock()
	up := s.up
	s.mu.Unlock()
	if up != nil && up.link.Connected() {
		up.link.Rows(all)
	}
}

// Others implements group.Source: those of the leader's board that are not here.
func (s *Source) Others() []group.Walker {
	return either(s, func(*local.Source) []group.Walker { return nil }, func(u *upstream) (all []group.Walker) {
		k, _ := u.look()
		for _, w := range k.walkers {
			if w.Hub == "" {
				w.Hub = group.HostOf(k.at)
			}
			if w.Hub != group.HostOf(s.o.Address) {
				all = append(all, w)
			}
		}
		return all
	})
}

// SetSpares says who follows this hub. Its members learn of them while it leads.
func (s *Source) SetSpares(addresses []string) {
	s.mu.Lock()
	before := s.spares
	s.spares = slices.Clone(addresses)
	leads := s.leads
	s.mu.Unlock()
	s.meet(addresses...)
	if leads == nil {
		return
	}
	leads.SetSpares(addresses)
	s.order(func(context.Context) { // the hub must not wait for who reads it
		for _, a := range addresses {
			if !slices.Contains(before, a) {
				s.o.Tell(group.HostOf(a) + " stands by as a spare")
			}
		}
		for _, a := range before {
			if !slices.Contains(addresses, a) {
				s.o.Tell("the spare at " + group.HostOf(a) + " is gone")
			}
		}
	})
}

// Leader is where the hub that leads is, and for how long it was not heard, s; ""
// and 0 where that is this one.
func (s *Source) Leader() (address string, silent float64) {
	s.mu.Lock()
	up := s.up
	s.mu.Unlock()
	if up == nil {
		return "", 0
	}
	k, _ := up.look()
	return k.leader, max(s.o.Clock()-k.heard, 0)
}

// Hosts are those of the hubs that share the groups, as their pages are opened.
func (s *Source) Hosts() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.hosts)
}

const mostPeers = 16

// meet remembers addresses of hubs.
func (s *Source) meet(addresses ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, a := range addresses {
		if a == "" || a == s.o.Address || slices.Contains(s.peers, a) || len(s.peers) == mostPeers {
			continue
		}
		s.peers = append(s.peers, a)
		s.admit(group.HostOf(a))
	}
}

// admit lets the pages of hosts come here. s.mu is held.
func (s *Source) admit(hosts ...string) {
	for _, h := range hosts {
		if h != "" && !slices.Contains(s.hosts, h) && len(s.hosts) < 4*mostPeers {
			s.hosts = append(s.hosts, h)
		}
	}
}
