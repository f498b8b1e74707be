package member

import (
	"math/rand/v2"
	"sync"
	"time"

	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
)

const (
	burst     = 8                     // pings at first, so that the clock is known soon
	patience  = 24                    // and as many while it is not good, since from the first beat on it changes slowly
	good      = 5e-3                  // s: what is good at first
	burstGap  = 50 * time.Millisecond // between them
	oftenGap  = time.Second           // while the clock can still become better
	seldomGap = 2 * time.Second       //
	often     = 64                    // pings of a connection before it is seldom
	waiting   = 32                    // pings whose answers are waited for
	// An answer that took more than twice the best of late and slowness, s, met a
	// radio that slept, or a queue: it is asked again at once, so many times.
	slowness = 5e-3
	tryAgain = 2
)

// pings are the exchanges of one connection. An answer counts once, for the time
// at which its ping was sent, whatever the hub says that was.
type pings struct {
	again chan struct{} // ask now
	tried int           // times in a row; of the reader

	mu     sync.Mutex
	n      int
	sentAt [waiting]float64
	open   [waiting]bool
}

// sent is how many pings were sent.
func (p *pings) sent() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.n
}

// next begins an exchange.
func (p *pings) next(clock func() float64) group.Ping {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := p.n
	p.n++
	t := clock()
	p.sentAt[n%waiting], p.open[n%waiting] = t, true
	return group.Ping{Kind: group.KindPing, N: n, T1: t}
}

// answer ends an exchange, if the pong is the answer to a ping that waits.
func (p *pings) answer(pong group.Pong, now float64) (clock.Exchange, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := pong.N
	if n < 0 || n >= p.n || n < p.n-waiting || !p.open[n%waiting] {
		return clock.Exchange{}, false
	}
	p.open[n%waiting] = false
	return clock.Exchange{T1: p.sentAt[n%waiting], T2: pong.T2, T3: pong.T3, T4: now, Spread: pong.Spread}, true
}

// slow asks for another exchange at once when this one was slow.
func (p *pings) slow(slow bool) {
	if !slow || p.tried == tryAgain {
		p.tried = 0
		return
	}
	p.tried++
	select {
	case p.again <- struct{}{}:
	default:
	}
}

// interval is how long to wait for the next ping after so many were sent. Members
// that came together do not stay together.
func (m *Member) interval(sent int) time.Duration {
	gap := seldomGap
	switch {
	case sent+1 < burst, sent+1 < patience && !m.Known():
		return burstGap
	case sent < often:
		gap = oftenGap
	}
	return gap - gap/10 + rand.N(gap/5)
}
