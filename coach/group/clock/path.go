package clock

import "sort"

// memory is how many pieces of a path are kept, for times that are past.
const memory = 32

// piece is a stretch of a path: from local on, group time goes on from group at
// so many s a second.
type piece struct{ local, group, rate float64 }

// path is group time over the member's clock, in pieces by local. It never falls.
// The last piece has no end, and the first one has no beginning.
type path []piece

// at is the group time at a local time.
func (p path) at(local float64) float64 {
	n := max(sort.Search(len(p), func(i int) bool { return p[i].local > local })-1, 0)
	g := p[n].group + (local-p[n].local)*p[n].rate
	if n+1 < len(p) {
		g = min(g, p[n+1].group) // rounding must not make it fall
	}
	return g
}

// back is the local time at which group time is reached.
func (p path) back(group float64) float64 {
	n := max(sort.Search(len(p), func(i int) bool { return p[i].group > group })-1, 0)
	l := p[n].local + (group-p[n].group)/p[n].rate
	if n+1 < len(p) {
		l = min(l, p[n+1].local)
	}
	return l
}

// put lets the path go on from a local time in another way, and forgets what was
// to come after it.
func (p path) put(q piece) path {
	n := sort.Search(len(p), func(i int) bool { return p[i].local >= q.local })
	p = p[:n]
	if len(p) == memory {
		copy(p, p[1:])
		p = p[:memory-1]
	}
	return append(p, q)
}
