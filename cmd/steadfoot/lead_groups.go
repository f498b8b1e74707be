package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/bus"
	"steadfoot/coach/group/local"
	"steadfoot/coach/group/spare"
)

// led is where a leader has its groups from.
type led struct {
	source    group.Source
	word, key string
	resumed   bool
	note      string // what is to be said of all that, "" for nothing
	bus       *bus.Bus
	spare     *spare.Source // nil on a bus
	address   string        // of this hub, for members and other hubs
	outranked func(term int, address string)
	tell      func(string)

	mu    sync.Mutex
	state *local.State
}

// firstGroup is the name of the group of a leader who names none.
const firstGroup = "all"

// openGroups makes the source of the groups, and has it run until ctx is done.
func (o leadOptions) openGroups(ctx context.Context, std stdio, host, port string, config *tls.Config, store string, tell func(string)) (*led, error) {
	l := &led{word: o.word, key: o.key, tell: tell, address: hubAddress(host, port, config)}
	file := filepath.Join(filepath.Dir(store), "lead-"+port+".jsonl")
	if o.spare.of != "" {
		return l, l.overSocket(ctx, o, file, nil)
	}
	if o.bus.follow || o.bus.standBy {
		l.draw()
		return l, l.overBus(ctx, std, o, file, nil)
	}
	conducts, err := l.conduct(o, file)
	if err != nil {
		return nil, err
	}
	if o.bus.url != "" {
		return l, l.overBus(ctx, std, o, file, conducts)
	}
	return l, l.overSocket(ctx, o, file, conducts)
}

// draw draws the word and the key that were not given.
func (l *led) draw() {
	if l.word == "" {
		l.word = newWord()
	}
	if l.key == "" {
		l.key = newKey()
	}
}

// conduct goes on with a group that was interrupted, or makes a new one.
func (l *led) conduct(o leadOptions, file string) (*local.Source, error) {
	machine := local.ThisMachine()
	var err error
	if !o.fresh {
		if l.state, err = local.Resume(file, machine); err != nil {
			return nil, fmt.Errorf("%w; or use --new", err)
		}
	}
	groups := o.groups
	if len(groups) == 0 {
		groups = []string{firstGroup}
	}
	if st := l.state; st != nil {
		l.resumed = true
		l.word, l.key = cmp.Or(o.word, st.Head.Word), cmp.Or(o.key, st.Head.Key)
		s, err := local.New(local.Options{Now: st.Now, Term: st.Head.Term, Past: st.Past, Groups: o.groups, Keep: st.Keep})
		if err != nil {
			return nil, errors.Join(fmt.Errorf("%s: %w; --new begins afresh", file, err), st.Close())
		}
		l.note = fmt.Sprintf("This leader was interrupted %s after it began; it goes on where it was, with the same word and key. --new begins afresh.\n", time.Duration(st.Now()*1e9).Round(time.Second))
		return s, nil
	}
	l.draw()
	if l.state, err = local.Begin(file, machine, local.Head{Term: 1, Word: l.word, Key: l.key}, nil, nil); err != nil {
		return nil, err
	}
	return local.New(local.Options{Now: l.state.Now, Term: 1, Groups: groups, Keep: l.state.Keep})
}

// takeOver makes the conductor of a spare. Its clock is this machine's from then
// on, set by what was known of the leader's.
func (l *led) takeOver(file string) func(int, func() float64, []group.Command) (*local.Source, error) {
	return func(term int, now func() float64, past []group.Command) (*local.Source, error) {
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.state != nil { // of when this one led before
			_ = l.state.Close()
			l.state = nil
		}
		st, err := local.Begin(file, local.ThisMachine(), local.Head{Term: term, Word: l.word, Key: l.key}, now, past)
		if err != nil {
			return nil, err
		}
		s, err := local.New(local.Options{Now: st.Now, Term: term, Past: past, Keep: st.Keep})
		if err != nil {
			return nil, errors.Join(err, st.Close())
		}
		l.state = st
		return s, nil
	}
}

// overBus shares the groups with other hubs.
func (l *led) overBus(ctx context.Context, std stdio, o leadOptions, file string, conducts *local.Source) error {
	address, user, password, token := o.bus.split()
	clock := monotonic()
	bo := bus.Options{
		URL: address, Event: o.bus.event, Site: o.bus.siteName(), Address: l.address,
		User: user, Password: password, Token: token, Clock: func() float64 { return clock().Seconds() },
		Problem: func(text string) { fmt.Fprintln(std.err, "steadfoot lead: bus:", text) },
	}
	if o.bus.ca != "" {
		text, err := readAtMost(o.bus.ca, mostPEM, "certificate")
		if err != nil {
			return err
		}
		pool := x509.NewCertPool()
		if !pool.AppendCertsFromPEM(text) {
			return fmt.Errorf("--bus-ca %s: no certificate in it; want PEM", o.bus.ca)
		}
		bo.TLS = &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12}
	}
	b, err := bus.Connect(ctx, bo)
	if err != nil {
		return err
	}
	l.bus = b
	part := bus.Part{Leader: conducts}
	if o.bus.standBy {
		part.TakeOver = l.takeOver(file)
	}
	l.source, err = b.Join(ctx, part)
	return err
}

// close lets go of what is open.
func (l *led) close() {
	if l.bus != nil {
		l.bus.Close()
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.state != nil {
		_ = l.state.Close() // each command was written when it came
	}
}

// done takes the file of an ended group away.
func (l *led) done() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.state == nil {
		return nil
	}
	st := l.state
	l.state = nil
	return st.Done()
}
