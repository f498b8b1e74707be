package coach

const (
	// leadStep is the most by which the tempo changes at once: 1 %. Changes of
	// tempo are noticed from 1.5 to 3 % on (Drake and Botte 1993).
	leadStep = 0.01
	// leadEvery is the least time between two changes, s. The rhythm is a mean
	// over 4 s and so 2 s old: an answer to the last one begins to show.
	leadEvery = 2.0
	// leadReach is how far the beat goes ahead of the walker. Beyond it, it
	// waits.
	leadReach = 0.015
	// leadSlack is how far the walker may fall behind before the beat comes
	// back.
	leadSlack = 0.03
	// leadAfter is how long the walker must have been walking before the beat
	// begins, s. The first steps are at another cadence.
	leadAfter = 6.0
)

// leader takes a beat from where the walker is to the target, in steps too small
// to be noticed. It is never further ahead of the walker than its reach, and so
// waits for who does not come along; it never passes the target.
type leader struct {
	reach   float64 // how far it goes ahead of the walker, relative
	slack   float64 // how far the walker may fall behind, relative
	cadence float64 // of the beat, steps/min; 0: there is none
	moved   float64 // when it was last changed, s
}

// begin starts at a cadence in steps/min.
func (l *leader) begin(now, cadence float64) { l.cadence, l.moved = cadence, now }

// stop forgets where the beat was.
func (l *leader) stop() { l.cadence = 0 }

// tick takes in the walker's cadence and the target, both in steps/min.
func (l *leader) tick(now, walker, target float64) {
	if l.cadence == 0 {
		l.begin(now, walker)
		return
	}
	if now < l.moved+leadEvery {
		return
	}
	to := min(max(l.want(walker, target), l.cadence*(1-leadStep)), l.cadence*(1+leadStep))
	if to != l.cadence {
		l.begin(now, to)
	}
}

// want is where the beat should be.
func (l *leader) want(walker, target float64) float64 {
	// Up or down is the beat's own way to the target, so that it does not pass.
	if l.cadence <= target {
		to := min(target, walker*(1+l.reach))
		if to < l.cadence && walker*(1+l.slack) >= l.cadence {
			return l.cadence
		}
		return to
	}
	to := max(target, walker*(1-l.reach))
	if to > l.cadence && walker*(1-l.slack) <= l.cadence {
		return l.cadence
	}
	return to
}
