package member

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"slices"
	"time"

	"steadfoot/coach/group"
)

// errOlder ends the connection to a hub that was left behind by another leader.
var errOlder = errors.New("it knows nothing of the present leader")

const (
	firstWait = 200 * time.Millisecond // before another attempt
	mostWait  = 5 * time.Second        //
	stable    = 5 * time.Second        // a connection that lasted so long was a good one
)

// webClient opens a connection. Each has one of its own, so that a connection that
// has failed is not used again.
func webClient(conf *tls.Config) *http.Client {
	return &http.Client{Transport: &http.Transport{Proxy: http.ProxyFromEnvironment, TLSClientConfig: conf, DisableKeepAlives: true}}
}

// run holds a connection to one hub or another until the member ends.
func (m *Member) run(ctx context.Context) {
	defer close(m.done)
	defer m.cancel()
	wait := firstWait
	for next := 0; ; {
		hubs := m.hubs()
		at := hubs[next%len(hubs)]
		url := at.url
		began := time.Now()
		err := m.talk(ctx, at)
		m.lost()
		if m.ends(ctx, url, err) {
			return
		}
		good := time.Since(began) > stable
		if good {
			wait = firstWait
		}
		if !good || code(err) == group.SorryEnding || errors.Is(err, errOlder) {
			next++ // otherwise it was the network, mostly
		}
		m.o.Tell(fmt.Sprintf("no connection to %s: %v", url, err))
		if !pause(ctx, m.wake, m.closing, jittered(wait)) {
			m.ends(ctx, url, nil)
			return
		}
		wait = min(wait*2, mostWait)
	}
}

// code is that of a refusal, "" for other errors.
func code(err error) string {
	if r := (*Refused)(nil); errors.As(err, &r) {
		return r.Code
	}
	return ""
}

// hubs are the places to try: those of the options, then the spares, but never this
// program itself. Who leads calls the one it means only.
func (m *Member) hubs() []place {
	m.mu.Lock()
	defer m.mu.Unlock()
	spares := m.beat.Spares
	if m.o.Term > 0 {
		spares = nil
	}
	self, _ := m.o.url(m.o.Spare) // "" where this is no spare
	var all []place
	for _, a := range slices.Concat(m.o.Addresses, spares) {
		h, err := m.o.place(a)
		same := func(k place) bool { return k.url == h.url }
		if err == nil && (len(all) == 0 || h.url != self) && !slices.ContainsFunc(all, same) {
			all = append(all, h)
		}
	}
	return all
}

// lost tells that there is no hub.
func (m *Member) lost() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.trusted, m.older = false, 0
	if m.connected {
		m.connected = false
		m.tellChange()
	}
}

// ends tells whether the member has ended, and remembers why. A spare that does
// not know the walker's word is no reason, when another hub did.
func (m *Member) ends(ctx context.Context, url string, err error) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	final := m.o.Once
	switch code(err) {
	case group.SorryRemoved, group.SorryElsewhere:
		final = true
	case group.SorryWord, group.SorryVersion:
		final = final || m.url == "" || m.url == url
	case group.SorryBad: // such as a group that is not there
		final = final || m.url == ""
	}
	switch {
	case m.leaving:
	case ctx.Err() != nil:
		m.err = ctx.Err()
	case final:
		m.err = err
	default:
		return false
	}
	m.tellChange()
	return true
}

func (m *Member) closing() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.leaving
}

// pause waits, and tells whether to go on.
func pause(ctx context.Context, wake <-chan struct{}, closing func() bool, wait time.Duration) bool {
	t := time.NewTimer(wait)
	defer t.Stop()
	for {
		if closing() {
			return false
		}
		select {
		case <-t.C:
			return true
		case <-ctx.Done():
			return false
		case <-wake:
		}
	}
}

// jittered spreads the attempts of many members that lost the same hub.
func jittered(d time.Duration) time.Duration {
	return d/2 + rand.N(d)
}
