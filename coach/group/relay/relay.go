// Package relay is a bad network in user space, for tests: it stands between the
// members of a group and their hub, and delays, loses, reorders and cuts.
//
// [Listen] relays the bytes of TCP connections. They stay in order, as TCP has
// them, and a loss is what TCP makes of it: the bytes come later by the time until
// they are sent again, and all behind them wait. [Messages] relays WebSocket
// messages, each by itself, as datagrams are: they overtake each other, and pings
// and pongs can be lost for good.
//
// Delays are drawn from a seed. When they are applied is the operating system's
// matter: what runs through a relay is not reproducible to the bit.
package relay

import (
	"math/rand/v2"
	"sync"
	"time"
)

// Way is what one direction does to what is sent.
type Way struct {
	Base, Jitter time.Duration // delay: Base ± Jitter, evenly
	Loss         float64       // share that is lost
	Again        time.Duration // until what was lost comes after all; of Listen only
}

// Link is both directions between members and hub.
type Link struct{ Up, Down Way }

// fate draws delays and losses.
type fate struct {
	mu   sync.Mutex
	link Link
	r    *rand.Rand
}

func newFate(l Link, seed uint64) *fate {
	return &fate{link: l, r: rand.New(rand.NewPCG(seed, 0))}
}

// Set changes the link for what is sent from now on.
func (f *fate) Set(l Link) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.link = l
}

// draw returns what happens to a message that goes up, or down.
func (f *fate) draw(up bool) (delay time.Duration, lost bool, again time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	w := f.link.Down
	if up {
		w = f.link.Up
	}
	delay = w.Base + time.Duration(float64(w.Jitter)*(2*f.r.Float64()-1))
	return max(delay, 0), f.r.Float64() < w.Loss, w.Again
}
