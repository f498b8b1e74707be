package hub

import (
	"sync"

	"golang.org/x/time/rate"
)

// crowd counts the connections of each address.
type crowd struct {
	most int // 0 or less: as many as they like

	mu   sync.Mutex
	here map[string]*visitor
}

type visitor struct {
	n    int           // connections
	rate *rate.Limiter // of new ones
}

func newCrowd(most int) crowd { return crowd{most: most, here: map[string]*visitor{}} }

// come counts a new connection at group time now, s, and tells whether it may
// stay; only then goes is to be called.
func (c *crowd) come(address string, now float64) bool {
	if c.most <= 0 {
		return true
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	v := c.here[address]
	if v == nil {
		c.forget(now)
		v = &visitor{rate: rate.NewLimiter(rate.Limit(c.most)/10, c.most)}
		c.here[address] = v
	}
	if v.n >= c.most || !v.rate.AllowN(instant(now), 1) {
		return false
	}
	v.n++
	return true
}

// goes counts a connection that has ended.
func (c *crowd) goes(address string) {
	if c.most <= 0 {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.here[address].n--
}

// forget drops the addresses that have no connection and had none for a while,
// when there are many.
func (c *crowd) forget(now float64) {
	if len(c.here) < 4096 {
		return
	}
	for a, v := range c.here {
		if v.n == 0 && v.rate.TokensAt(instant(now)) >= float64(c.most) {
			delete(c.here, a)
		}
	}
}
