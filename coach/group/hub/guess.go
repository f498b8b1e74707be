package hub

import (
	"crypto/sha256"
	"crypto/subtle"
	"math"
	"sync"
)

// Wrong tries of a secret.
const (
	freeTries = 3     // that cost nothing: people mistype
	maxPause  = 60.0  // s
	forgetIn  = 600.0 // s after the last wrong one
	maxKnown  = 4096  // addresses remembered
)

// guesses holds back those who try secrets. After a few wrong ones the next
// counts only after a pause, which doubles each time.
type guesses struct {
	mu    sync.Mutex
	wrong map[string]tries // by address
}

type tries struct {
	n     int     // wrong ones
	until float64 // no sooner may the next one come, s
}

// try compares a secret from an address at group time now, s. wait is how long
// the address has to wait before another try counts, s; while that is not over,
// nothing is compared.
func (g *guesses) try(address, got, want string, now float64) (right bool, wait float64) {
	g.mu.Lock()
	defer g.mu.Unlock()
	t := g.wrong[address]
	if now < t.until {
		return false, t.until - now
	}
	if equal(got, want) {
		delete(g.wrong, address)
		return true, 0
	}
	if now > t.until+forgetIn {
		t.n = 0
	}
	if t.n++; t.n > freeTries {
		wait = math.Min(math.Ldexp(1, t.n-freeTries-1), maxPause)
	}
	t.until = now + wait
	g.remember(address, t)
	return false, wait
}

// remember keeps t. When there are too many, the one whose pause ends first has
// to make room.
func (g *guesses) remember(address string, t tries) {
	if g.wrong == nil {
		g.wrong = map[string]tries{}
	}
	if _, known := g.wrong[address]; !known && len(g.wrong) >= maxKnown {
		first, until := "", math.Inf(1)
		for a, t := range g.wrong {
			if t.until < until {
				first, until = a, t.until
			}
		}
		delete(g.wrong, first)
	}
	g.wrong[address] = t
}

// equal compares in a time that tells nothing about want, not even its length.
func equal(got, want string) bool {
	a, b := sha256.Sum256([]byte(got)), sha256.Sum256([]byte(want))
	return subtle.ConstantTimeCompare(a[:], b[:]) == 1
}
