package detect

// leakPast is what was taken out of the input of late, at the halved rate, so
// that it can be taken out of the samples themselves as well.
type leakPast struct {
	stages int
	low    int
	ring   []float64
	n      int64 // samples there were
	last   int64 // number after the last that is not 0
	wide   [2][]float64
	taps   [halvePairs]float64
}

func newLeakPast(s *Sound, q playedQueue) leakPast {
	stages := halvings(s.rate)
	l := leakPast{
		stages: stages, low: q.low,
		ring: make([]float64, (len(s.past)/s.hop+2)*q.low),
		n:    q.taken * int64(q.low),
		taps: newHalver(stages, s.hop).taps,
	}
	for i := range l.wide {
		l.wide[i] = make([]float64, len(s.clip)+8*halvePairs)
	}
	return l
}

// add takes the newest hop.
func (l *leakPast) add(gone []float64) {
	copy(l.ring[l.n%int64(len(l.ring)):], gone)
	l.n += int64(len(gone))
	for _, v := range gone {
		if v != 0 {
			l.last = l.n
			return
		}
	}
}

// takeFrom takes the leak out of x, samples of the input from number from on.
func (l *leakPast) takeFrom(x []float32, from int64) {
	if from>>l.stages > l.last {
		return // nothing was taken since
	}
	for i, v := range l.widen(l.stages, from, len(x)) {
		x[i] -= float32(v)
	}
}

// widen gives n samples of the leak from number from on, at the rate before so
// many halvings. It undoes the delay of the halver, whose sample i stands for
// sample 2i-middle.
func (l *leakPast) widen(stages int, from int64, n int) []float64 {
	dst := l.wide[stages%2][:n]
	if stages == 0 {
		for i := range dst {
			dst[i] = 0
			if k := from + int64(i); k >= 0 && k < l.n && k >= l.n-int64(len(l.ring)) {
				dst[i] = l.ring[k%int64(len(l.ring))]
			}
		}
		return dst
	}
	const middle = 2*halvePairs - 1
	first := (from+middle)>>1 - halvePairs + 1
	src := l.widen(stages-1, first, n/2+2*halvePairs)
	for i := range dst {
		at := from + int64(i) + middle
		k := int(at>>1 - first)
		if at&1 == 0 {
			dst[i] = src[k]
			continue
		}
		dst[i] = 0
		for j, t := range l.taps {
			dst[i] += 2 * t * (src[k-j] + src[k+1+j])
		}
	}
	return dst
}
