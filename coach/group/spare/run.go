package spare

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/local"
)

const (
	callEvery = 2 * time.Second        // between two calls of a leader to the hubs that do not follow it
	lookEvery = 100 * time.Millisecond // at what a spare knows of its leader
	moveEvery = 60.0                   // s between two moves to a leader that another hub names
	again     = 60.0                   // s before another try where a leader refused
)

// errNothing keeps a spare from leading what it does not know.
var errNothing = errors.New("nothing is known of the group yet: the leader was not reached")

// run leads and follows in turn. Only it changes from one to the other.
func (s *Source) run(ctx context.Context) {
	defer close(s.done)
	for ctx.Err() == nil {
		s.mu.Lock()
		leads := s.leads
		s.mu.Unlock()
		if leads != nil {
			s.lead(ctx, leads)
			continue
		}
		if err := s.standBy(ctx); err != nil {
			s.mu.Lock()
			s.err = err
			s.mu.Unlock()
			return
		}
	}
}

// lead conducts until another conductor is in charge.
func (s *Source) lead(ctx context.Context, leads *local.Source) {
	running, end := context.WithCancel(ctx)
	defer end()
	go leads.Run(running)
	term, _ := leads.Past()
	go s.call(running, term)
	for {
		select {
		case order := <-s.orders:
			order(ctx)
		case <-ctx.Done():
		}
		s.mu.Lock()
		goes := s.leads != leads
		s.mu.Unlock()
		if goes || ctx.Err() != nil {
			return
		}
	}
}

// call tells the hubs that do not follow this one that it leads, and hears whether
// they do, until ctx is done.
func (s *Source) call(ctx context.Context, term int) {
	for ctx.Err() == nil {
		for _, a := range s.ask(ctx, s.strangers(), term) {
			s.mu.Lock()
			s.names[a.at] = a.address()
			s.mu.Unlock()
			if a.board.Leads {
				s.Outranked(termOf(a.board.Groups), a.address())
			}
		}
		select {
		case <-time.After(callEvery):
		case <-ctx.Done():
		}
	}
}

// strangers are the hubs that do not follow this one.
func (s *Source) strangers() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(s.peers), func(a string) bool {
		return slices.Contains(s.spares, a) || slices.Contains(s.spares, s.names[a])
	})
}

// forget drops a hub that has another key.
func (s *Source) forget(address string) {
	s.mu.Lock()
	n := len(s.peers)
	s.peers = slices.DeleteFunc(s.peers, func(a string) bool { return a == address })
	gone := len(s.peers) < n
	s.mu.Unlock()
	if gone {
		s.o.Tell(fmt.Sprintf("the hub at %s has another key by now: it is left alone", group.HostOf(address)))
	}
}

// Outranked takes in that the hub at an address, which has the key, leads by a term.
func (s *Source) Outranked(term int, address string) {
	s.order(func(ctx context.Context) { s.rival(ctx, claim{term, address}) })
}

// order has run do something soon. When too much waits it is dropped: whoever leads
// calls again.
func (s *Source) order(f func(context.Context)) bool {
	select {
	case s.orders <- f:
		return true
	default:
		return false
	}
}

// rival judges the claim of another hub.
func (s *Source) rival(ctx context.Context, other claim) {
	s.meet(other.address)
	s.mu.Lock()
	leads, up := s.leads, s.up
	s.mu.Unlock()
	if leads == nil {
		if k, _ := up.look(); other.term > k.term && other.address != s.o.Address {
			k.term, k.leader, k.heard = other.term, other.address, s.o.Clock()
			s.move(ctx, up, k)
		}
		return
	}
	term, past := leads.Past()
	switch (claim{term, s.o.Address}).against(other) {
	case follows:
		k := known{term: other.term, leader: other.address, past: past, of: term}
		next, err := s.follow(ctx, s.addresses(other.address), k, leads.Now)
		if err != nil {
			s.o.Tell("another hub leads, but cannot be followed: " + err.Error())
			return
		}
		s.mu.Lock()
		s.leads, s.up, s.was = nil, next, leads
		s.mu.Unlock()
		s.o.Tell(fmt.Sprintf("another hub leads: %s. This one follows it now and stands by; 'take over' leads again", group.HostOf(other.address)))
		leads.Wake()
	case raises:
		if err := s.conduct(term+1, leads.Now, past); err != nil {
			s.o.Tell("leading on failed: " + err.Error())
			return
		}
		s.o.Tell(fmt.Sprintf("%s has taken over as well; this hub leads on", group.HostOf(other.address)))
		leads.Wake()
	}
}

// addresses are where a leader may be found, one before all others.
func (s *Source) addresses(first string) []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var all []string
	if first != "" {
		all = append(all, first)
	}
	for _, a := range s.peers {
		if a != first {
			all = append(all, a)
		}
	}
	return all
}

// move follows the leader in k from now on, instead of where up goes.
func (s *Source) move(ctx context.Context, up *upstream, k known) {
	before := up.before
	if up.link.Known() {
		link, now := up.link, up.now
		before = func() float64 { return link.GroupAt(now()) }
	}
	next, err := s.follow(ctx, s.addresses(k.leader), k, before)
	if err != nil {
		s.o.Tell("the leader's own address is of no use: " + err.Error())
		return
	}
	s.mu.Lock()
	s.up = next
	s.mu.Unlock()
	up.cancel()
	up.mu.Lock()
	defer up.mu.Unlock()
	up.wake()
}

// conduct puts a new conductor in charge.
func (s *Source) conduct(term int, now func() float64, past []group.Command) error {
	next, err := s.o.TakeOver(term, now, past)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	next.SetSpares(s.spares)
	s.leads, s.up, s.was = next, nil, nil
	return nil
}
