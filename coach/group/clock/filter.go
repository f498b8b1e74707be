package clock

// stages is how many exchanges a Filter holds (RFC 5905, section 7.2).
const stages = 8

// Filter is the minimum-delay filter: of the last eight exchanges the one with
// the least delay is the best (RFC 5905, section 10). A queue anywhere on the
// path adds delay, and what was added only one way is an error of the offset; the
// quickest exchange met the fewest queues. The zero Filter is empty.
type Filter struct {
	last [stages]Exchange
	n    int // exchanges so far
}

// Add takes in an exchange and returns the best one of the last eight.
func (f *Filter) Add(e Exchange) Exchange {
	f.last[f.n%stages] = e
	f.n++
	best := e
	for _, o := range f.last[:min(f.n, stages)] {
		if o.Delay() < best.Delay() {
			best = o
		}
	}
	return best
}
