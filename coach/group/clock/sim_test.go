package clock

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
)

// way is what messages meet on a link in one direction.
type way struct {
	base, jitter float64 // s: base ± jitter, evenly
	loss         float64 // share that is lost, and comes by being sent again
	again        float64 // s until then: what TCP makes of a loss
}

func (w way) delay(r *rand.Rand) float64 {
	d := w.base + w.jitter*(2*r.Float64()-1)
	for r.Float64() < w.loss {
		d += w.again
	}
	return d
}

// world is a member and its hub in simulated time. True time is the hub's, group
// time at offset; the member's clock began at true time 0 and runs at 1+rate.
type world struct {
	there, back way
	rate        float64
	offset      float64
	drop        float64 // share of the answers that never come
	r           *rand.Rand
	f           Follower

	now   float64   // true time, s
	asked int       //
	queue []arrival // answers under way, by time
	quiet [2]float64
}

type arrival struct {
	at float64
	e  Exchange
}

func newWorld(seed uint64, there, back way, rate float64) *world {
	r := rand.New(rand.NewPCG(seed, 7))
	return &world{there: there, back: back, rate: rate, offset: 1e4 * r.Float64(), r: r}
}

func (w *world) local(at float64) float64 { return at * (1 + w.rate) }

// off is how far the member's group time is off at the present time, s.
func (w *world) off() float64 { return w.f.Group(w.local(w.now)) - (w.now + w.offset) }

func (w *world) spread() Spread { return w.f.Spread(w.local(w.now)) }

// ask sends a question now.
func (w *world) ask() {
	there, back := w.there.delay(w.r), w.back.delay(w.r)
	if w.r.Float64() < w.drop || w.now >= w.quiet[0] && w.now < w.quiet[1] {
		return
	}
	at := w.now + there + 30e-6 + back
	e := Exchange{
		T1: w.local(w.now), T2: w.now + there + w.offset, T3: w.now + there + 30e-6 + w.offset, T4: w.local(at),
	}
	n := sort.Search(len(w.queue), func(i int) bool { return w.queue[i].at > at })
	w.queue = slices.Insert(w.queue, n, arrival{at, e})
}

// run lets time go on to a true time, asking as a member does: eight times in a
// row, then every second, then every other. It calls look every 0.3 s once the
// clock is known. The beat plays from then on.
func (w *world) run(until float64, look func()) {
	const step = 0.05
	for ; w.now < until; w.now += step {
		tick := int(math.Round(w.now / step))
		if w.asked < 8 || tick%20 == 0 && (w.asked < 64 || tick%40 == 0) {
			w.ask()
			w.asked++
		}
		for len(w.queue) > 0 && w.queue[0].at <= w.now {
			w.f.Add(w.queue[0].e)
			w.queue = w.queue[1:]
		}
		if w.f.Known() {
			w.f.Hold()
			if look != nil && tick%6 == 0 {
				look()
			}
		}
	}
}

// quantile is the q-th part of the sizes of v.
func quantile(v []float64, q float64) float64 {
	s := make([]float64, len(v))
	for i := range v {
		s[i] = math.Abs(v[i])
	}
	slices.Sort(s)
	if len(s) == 0 {
		return math.NaN()
	}
	return s[int(q*float64(len(s)-1))]
}
