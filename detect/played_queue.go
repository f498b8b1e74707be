package detect

// playedQueue keeps what is played until the input of the same time has come.
type playedQueue struct {
	raw   []float64 // the newest hop
	fill  int       // samples of it that are there
	halve *halver
	low   int         // samples of a hop at the halved rate
	ring  [][]float64 // hops at the halved rate, by their number
	told  int64       // hops told
	taken int64       // hops of the input that have come
}

func newPlayedQueue(s *Sound) playedQueue {
	stages := halvings(s.rate)
	q := playedQueue{
		raw:   make([]float64, s.hop),
		halve: newHalver(stages, s.hop),
		low:   s.hop >> stages,
		ring:  make([][]float64, int(playedAheadS/hopSeconds)),
		taken: s.pos / int64(s.hop),
	}
	for i := range q.ring {
		q.ring[i] = make([]float64, q.low)
	}
	return q
}

func (q *playedQueue) tell(samples []float32) {
	for len(samples) > 0 {
		n := min(len(samples), len(q.raw)-q.fill)
		for i, v := range samples[:n] {
			if v-v != 0 { // NaN or infinite
				v = 0
			}
			q.raw[q.fill+i] = float64(v)
		}
		samples = samples[n:]
		if q.fill += n; q.fill < len(q.raw) {
			continue
		}
		q.fill = 0
		low := q.halve.run(q.raw)
		if k := q.told - q.taken; k >= 0 && k < int64(len(q.ring)) {
			copy(q.ring[q.told%int64(len(q.ring))], low)
		}
		q.told++
	}
}

// next puts what is played in the next hop of the input into x.
func (q *playedQueue) next(x []float64) {
	slot := q.ring[q.taken%int64(len(q.ring))]
	copy(x, slot)
	clear(slot) // the place of a hop that may never be told
	q.taken++
}
