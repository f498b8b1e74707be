package sensor

import (
	"math"
	"slices"
)

const (
	pieceOfAlign = 1.0  // s of rows, of which the least delayed one counts
	piecesMost   = 600  // ten minutes
	driftLeast   = 30   // pieces before a drift is looked for
	driftMost    = 5e-4 // s/s; clocks of sensors are within 100 ppm (common practice, no source)
	groups       = 12   // of pieces, for the drift
	settleS      = 3.0  // s in which the offset may still jump
	slewMost     = 2e-3 // s/s by which it moves later
	earlyShare   = 0.2  // of pieces that may lie below the line
)

// Align puts the rows of a sensor on another clock by when they came. How long
// they are on the way varies, but never below some least time; so the line under
// their delays is looked for, by its slope and height, and not the mean. That
// least time itself cannot be known and stays in.
type Align struct {
	n      int
	piece  struct{ t, delay float64 } // the piece now
	from   float64                    // its beginning
	t, d   [piecesMost]float64        // ring of pieces: time and least delay
	sorted []float64

	started       bool
	begin, last   float64 // times of rows
	offset, drift float64 // in use: offset at begin, s, and s/s
	goal          float64 // offset it moves to
	out           float64 // last time given
}

// Forget starts anew, for a sensor whose clock is another one now.
func (a *Align) Forget() {
	out := a.out
	*a = Align{out: out, sorted: a.sorted[:0]}
}

// Map takes the time t of a row on the sensor's clock, which rises, and when it
// came on the other clock, s each, and returns its time on the other. Times it
// gives rise.
func (a *Align) Map(t, came float64) float64 {
	delay := came - t
	if !a.started {
		a.started, a.begin, a.from, a.last = true, t, t, t
		a.piece.t, a.piece.delay = t, delay
		a.offset, a.goal = delay, delay
	}
	if t-a.from > pieceOfAlign {
		a.close()
		a.from, a.piece.t, a.piece.delay = t, t, delay
	}
	if delay < a.piece.delay {
		a.piece.t, a.piece.delay = t, delay
	}
	if t-a.begin < settleS {
		a.goal = math.Min(a.goal, delay)
		a.offset = a.goal
	}
	most := slewMost * (t - a.last)
	a.offset += math.Max(-most, math.Min(most, a.goal-a.offset))
	a.last = t
	a.out = math.Max(a.out+1e-5, t+a.offset+a.drift*(t-a.begin))
	return a.out
}

// Drift is by how much the sensor's clock is slow, s/s, as far as it is known.
func (a *Align) Drift() float64 { return a.drift }

// close ends a piece and finds the line again.
func (a *Align) close() {
	a.t[a.n%piecesMost], a.d[a.n%piecesMost] = a.piece.t, a.piece.delay
	a.n++
	n := min(a.n, piecesMost)
	drift := a.drift
	if n >= driftLeast && a.n%10 == 0 {
		drift = a.slope(n)
	}
	a.sorted = a.sorted[:0]
	for i := range n {
		a.sorted = append(a.sorted, a.d[i]-drift*(a.t[i]-a.begin))
	}
	slices.Sort(a.sorted)
	height := a.sorted[int(earlyShare*float64(n-1))]
	// A new slope turns about the row just given, not about the first one.
	a.offset += (a.drift - drift) * (a.last - a.begin)
	a.drift, a.goal = drift, height
}

// slope is the median slope between the least delays of groups of pieces: that of
// H. Theil (1950) and P. K. Sen, J Am Stat Assoc 63 (1968) 1379.
func (a *Align) slope(n int) float64 {
	var t, d [groups]float64
	for g := range groups {
		d[g] = math.Inf(1)
		for k := g * n / groups; k < (g+1)*n/groups; k++ {
			i := (a.n - n + k) % piecesMost
			if v := a.d[i]; v < d[g] {
				t[g], d[g] = a.t[i], v
			}
		}
	}
	a.sorted = a.sorted[:0]
	for i := range groups {
		for j := range i {
			if t[i] > t[j] {
				a.sorted = append(a.sorted, (d[i]-d[j])/(t[i]-t[j]))
			}
		}
	}
	slices.Sort(a.sorted)
	if len(a.sorted) == 0 {
		return 0
	}
	return math.Max(-driftMost, math.Min(driftMost, a.sorted[len(a.sorted)/2]))
}
