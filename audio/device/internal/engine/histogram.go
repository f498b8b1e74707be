package engine

import (
	"math"
	"math/bits"
	"sync/atomic"
	"time"
)

// Histogram counts how long callbacks took, in steps of a quarter of an octave.
// The callback adds to it without waiting or allocating; anybody may read it
// meanwhile. The zero value is empty.
type Histogram struct {
	count [4 * 64]atomic.Int64
	most  atomic.Int64
}

// Add counts one.
func (h *Histogram) Add(took time.Duration) {
	ns := uint64(max(1, took))
	octave := bits.Len64(ns) - 1
	quarter := ns << (63 - octave) >> 61 & 3 // the two bits after the leading one
	h.count[4*octave+int(quarter)].Add(1)
	for most := h.most.Load(); int64(ns) > most && !h.most.CompareAndSwap(most, int64(ns)); {
		most = h.most.Load()
	}
}

// note takes a call of the device. least is by how much this clock is ahead of the
// library's, by the call that tells least.
func (s *Spent) note(c *Call, least *atomic.Int64) {
	s.Took.Add(c.Took)
	if c.Now != 0 {
		differ := c.Begun - c.Now
		s.Waited.Add(differ - leastOf(least, differ))
	}
}

// leastOf takes a value into the least of them, 0 standing for none yet.
func leastOf(least *atomic.Int64, v time.Duration) time.Duration {
	for {
		old := least.Load()
		if old != 0 && int64(v) >= old {
			return time.Duration(old)
		}
		if least.CompareAndSwap(old, int64(v)) {
			return v
		}
	}
}

// Quantile is the time that a share q of the callbacks did not exceed, at most
// a quarter more than it was; 0 when there were none.
func (h *Histogram) Quantile(q float64) time.Duration {
	need := int64(math.Ceil(q * float64(h.N())))
	if need == 0 {
		return 0
	}
	sum := int64(0)
	for i := range h.count {
		if sum += h.count[i].Load(); sum >= need {
			end := math.Ldexp(1+float64(i%4+1)/4, i/4)
			return min(time.Duration(end), h.Max())
		}
	}
	return h.Max()
}

// Over is how many took longer than limit, or up to a quarter less than that.
func (h *Histogram) Over(limit time.Duration) (n int64) {
	ns := uint64(max(1, limit))
	octave := bits.Len64(ns) - 1
	for i := 4*octave + int(ns<<(63-octave)>>61&3); i < len(h.count); i++ {
		n += h.count[i].Load()
	}
	return n
}

// N is how many there were.
func (h *Histogram) N() (n int64) {
	for i := range h.count {
		n += h.count[i].Load()
	}
	return n
}

// Max is the longest.
func (h *Histogram) Max() time.Duration { return time.Duration(h.most.Load()) }

// Spent is what callbacks cost.
type Spent struct {
	// Took is how long they ran.
	Took Histogram
	// Waited is how long before that it was time, where the library tells. The
	// least of them counts as 0, as the two clocks differ by an unknown time.
	Waited Histogram
}

// Meter is a Backend that wants to know, some times a minute and once the stream
// has ended, what the callbacks cost.
type Meter interface {
	Spent(*Spent)
}

const meterEvery = time.Second
