// Package local conducts groups: it keeps their conductors on one clock, takes
// commands, and remembers those, so that a spare or the next start of the program
// can go on where it was.
package local

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"steadfoot/coach/group"
)

// Options are what a Source begins with.
type Options struct {
	// Now is the group time, s; it must not run back. Needed.
	Now func() float64
	// Term is that of the maps, from 1.
	Term int
	// Groups are made at once, where Past does not have them.
	Groups []string
	// Past are commands to begin with, by time.
	Past []group.Command
	// Keep stores a command that was obeyed; nil does not. Its error is told in
	// Err, the walk goes on.
	Keep func(group.Command) error
}

// Source is a group.Source that conducts. Run must run.
type Source struct {
	now  func() float64
	keep func(group.Command) error

	mu      sync.Mutex
	term    int
	names   []string // of the groups, the first one first
	groups  map[string]*group.Conductor
	past    []group.Command
	spares  []string
	spared  int // how often they have changed
	changed chan struct{}
	err     error
}

// New returns a Source with its groups as they are now.
func New(o Options) (*Source, error) {
	if o.Now == nil || o.Term < 1 {
		return nil, errors.New("local: a clock and a term from 1 are needed")
	}
	s := &Source{now: o.Now, term: o.Term, groups: map[string]*group.Conductor{}, changed: make(chan struct{})}
	for i, c := range o.Past {
		if err := s.obey(c); err != nil {
			return nil, fmt.Errorf("stored command %d (%s): %w", i+1, c.Do, err)
		}
	}
	s.keep = o.Keep
	s.tick() // the maps of the last command may be hours old
	for _, name := range o.Groups {
		if s.groups[name] != nil {
			continue
		}
		if err := s.Command(context.Background(), group.Command{Do: group.DoGroup, Group: name}); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// Run lets the time go on until ctx is done.
func (s *Source) Run(ctx context.Context) {
	t := time.NewTicker(50 * time.Millisecond)
	defer t.Stop()
	for {
		select {
		case <-t.C:
			s.mu.Lock()
			s.tick()
			s.mu.Unlock()
		case <-ctx.Done():
			return
		}
	}
}

// tick tells whoever waits when a map has changed.
func (s *Source) tick() {
	now, any := s.now(), false
	for _, name := range s.names {
		any = s.groups[name].Tick(now) || any
	}
	if any {
		s.tell()
	}
}

func (s *Source) tell() {
	close(s.changed)
	s.changed = make(chan struct{})
}

// Now implements group.Source.
func (s *Source) Now() float64 { return s.now() }

// Spread implements group.Source: this is the clock.
func (s *Source) Spread() float64 { return 0 }

// Leads implements group.Source.
func (s *Source) Leads() bool { return true }

// Changed implements group.Source.
func (s *Source) Changed() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changed
}

// Maps implements group.Source.
func (s *Source) Maps() []group.Map {
	s.mu.Lock()
	defer s.mu.Unlock()
	all := make([]group.Map, 0, len(s.names))
	for _, name := range s.names {
		m := s.groups[name].Map()
		m.Term, m.Spares = s.term, s.spares
		m.Seq += s.spared
		all = append(all, m)
	}
	return all
}

// Command implements group.Source. A command counts from now on.
func (s *Source) Command(_ context.Context, c group.Command) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	c.Kind, c.N, c.T = "", 0, s.now()
	if err := s.obey(c); err != nil {
		return err
	}
	if s.keep != nil {
		if err := s.keep(c); err != nil {
			s.err = err
		}
	}
	s.tell()
	return nil
}

// obey has a command done and remembers it.
func (s *Source) obey(c group.Command) error {
	switch c.Do {
	case group.DoGroup:
		name := group.CleanName(c.Group)
		switch {
		case name == "":
			return errors.New("a group needs a name")
		case s.groups[name] != nil:
			return fmt.Errorf("there is a group %q already", name)
		case len(s.names) >= group.MaxGroups:
			return fmt.Errorf("there are %d groups, which is as many as there may be", len(s.names))
		}
		c.Group = name
		s.names = append(s.names, name)
		s.groups[name] = group.NewConductor(name)
		s.groups[name].Tick(c.T)
	case group.DoMove, group.DoRemove:
		return fmt.Errorf("%s is for the hub where the walker is", c.Do)
	default:
		g := s.groups[c.Group]
		if g == nil && c.Group == "" && len(s.names) > 0 {
			c.Group = s.names[0]
			g = s.groups[c.Group]
		}
		if g == nil {
			return fmt.Errorf("there is no group %q", c.Group)
		}
		if err := g.Handle(c); err != nil {
			return err
		}
	}
	s.past = append(s.past, c)
	return nil
}

// Past implements group.Source. It copies nothing: what was commanded once is never
// written to again.
func (s *Source) Past() (int, []group.Command) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.term, slices.Clip(s.past)
}

// SetSpares says where members go when this hub is silent.
func (s *Source) SetSpares(addresses []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !slices.Equal(s.spares, addresses) {
		s.spares = slices.Clone(addresses)
		s.spared++
		s.tell()
	}
}

// Err is what went wrong with keeping commands; nil when all are kept.
func (s *Source) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// Report implements group.Source; with one hub there is nobody to tell.
func (s *Source) Report([]group.Walker) {}

// Others implements group.Source.
func (s *Source) Others() []group.Walker { return nil }

// Wake tells whoever waits that the maps are to be looked at anew.
func (s *Source) Wake() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.tell()
}
