package spare

import (
	"context"
	"math"
	"sync"

	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
)

// upstream follows a leader.
type upstream struct {
	now    func() float64 // the machine's clock, s
	link   *member.Member
	cancel context.CancelFunc
	before func() float64 // group time until the leader's clock is known; may be nil

	mu      sync.Mutex
	k       known
	changed chan struct{}
	inside  bool // a hub has let this one in, once
}

// follow begins to follow the hubs at some addresses, the preferred one first, with
// what is known already.
func (s *Source) follow(ctx context.Context, addresses []string, k known, before func() float64) (*upstream, error) {
	if k.heard == 0 {
		k.heard = s.o.Clock()
	}
	u := &upstream{now: s.o.Clock, before: before, k: k, inside: k.term > 0, changed: make(chan struct{})}
	ctx, u.cancel = context.WithCancel(ctx)
	var err error
	u.link, err = member.Join(ctx, member.Options{
		Addresses: addresses, Key: s.o.Key, Spare: s.o.Address, Least: k.term,
		Clock: s.o.Clock, Tell: s.tellLink, Got: u.got,
	})
	if err != nil {
		u.cancel()
	}
	return u, err
}

// got takes in what a hub says.
func (u *upstream) got(message any) {
	u.mu.Lock()
	defer u.mu.Unlock()
	changed := !u.inside
	u.inside = true
	switch m := message.(type) {
	case group.Board:
		changed = u.k.board(m, u.now()) || changed
	case group.Changed:
		changed = u.k.changed(m.Map) || changed
	case group.Past:
		u.k.commands(m)
		changed = true
	}
	if changed {
		u.wake()
	}
}

// wake tells whoever waits that something is new. u.mu is held.
func (u *upstream) wake() {
	close(u.changed)
	u.changed = make(chan struct{})
}

// look is what is known at the moment. Its slices must not be written to.
func (u *upstream) look() (k known, inside bool) {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.k, u.inside
}

// hear takes in that a leader lived at a time, s.
func (u *upstream) hear(at float64) {
	u.mu.Lock()
	defer u.mu.Unlock()
	u.k.heard = max(u.k.heard, at)
}

// ready tells whether the groups and their clock are known.
func (u *upstream) ready() bool {
	k, _ := u.look()
	return len(k.maps) > 0 && u.timed()
}

// timed tells whether the group's clock is known.
func (u *upstream) timed() bool { return u.before != nil || u.link.Known() }

// group is the group time, s.
func (u *upstream) group() float64 {
	if u.before != nil && !u.link.Known() {
		return u.before()
	}
	return u.link.GroupAt(u.now())
}

// spread is how far it may be off, s.
func (u *upstream) spread() float64 {
	if b := u.link.Spread().Bound; !math.IsInf(b, 0) {
		return b
	}
	return unknown
}

// unknown stands for a clock of which nothing is known, s: JSON has no infinity.
const unknown = 1e6
