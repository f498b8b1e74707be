package detect

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

const (
	tickS      = 0.5 // a Rhythm is given this often
	cadenceS   = 4.0 // cadence is taken over this long
	gapLeastS  = 1.0 // a shorter hole is no gap
	keptSteps  = 64
	unevenNeed = 8  // intervals of each foot
	strideNeed = 8  // strides
	strideMost = 20 // strides that count for the variability
)

// reporter turns placed steps into events: it names the feet, keeps the recent
// steps, and gives the rhythm every half second.
type reporter struct {
	first, side Side
	kept        [keptSteps]Step // ring
	count       int             // steps of this stretch
	recent      [keptSteps]Step // scratch of rhythm: the steps in order
	last        float64         // time of the last step, or the start of the input
	any         bool
	ticks       int
	strides     [strideMost]float64 // scratch of variability
	lost        float64             // input lost since the last step, s
	deaf        float64             // dead input since the last step, s
}

func newReporter(first Side) reporter {
	if first == Unknown {
		first = Left
	}
	return reporter{first: first, side: first}
}

// step reports one step. begins tells that the tracker found the walk anew.
func (r *reporter) step(dst []Event, t float64, p placed, period float64) []Event {
	if p.begins {
		dst = r.begin(dst, t, period)
	}
	if r.any && t <= r.last {
		t = r.last + 0.001 // times of steps rise, whatever the refinement says
	}
	s := Step{T: t, Side: r.side, Confidence: p.confidence, Heard: p.heard || p.felt}
	r.kept[r.count%keptSteps] = s
	r.count++
	r.last, r.any = t, true
	r.lost, r.deaf = 0, 0
	r.side = r.side.Other()
	return append(dst, Event{Kind: KindStep, Step: s})
}

// begin opens a stretch. Over a hole of a step or two the feet can be counted
// on; after more, nobody knows which foot came first.
func (r *reporter) begin(dst []Event, t, period float64) []Event {
	if hole := (t - r.last) / period; r.any && hole < 3.5 {
		if int(math.Round(hole))%2 == 0 {
			r.side = r.side.Other()
		}
		return dst
	}
	dst = r.gap(dst, t)
	r.side, r.count = r.first, 0
	return dst
}

// gap reports the time since the last step, if it is long enough.
func (r *reporter) gap(dst []Event, t float64) []Event {
	length := t - r.last
	if length < gapLeastS {
		return dst
	}
	g := Gap{T: r.last, Length: length, Reason: GapStopped}
	switch {
	case r.lost > 0.5*length:
		g.Reason = GapLost
	case r.deaf > 0.5*length:
		g.Reason = GapDeaf
	}
	return append(dst, Event{Kind: KindGap, Gap: g})
}

// tick reports the rhythm each time t, the time of the frame, passes a tick.
func (r *reporter) tick(dst []Event, t float64, state State) []Event {
	for float64(r.ticks+1)*tickS <= t {
		r.ticks++
		dst = append(dst, Event{Kind: KindRhythm, Rhythm: r.rhythm(float64(r.ticks)*tickS, state)})
	}
	return dst
}

// at returns the step i steps back; 0 is the last.
func (r *reporter) at(i int) Step { return r.kept[(r.count-1-i)%keptSteps] }

// have is how many steps of the stretch are kept.
func (r *reporter) have() int { return min(r.count, keptSteps) }

func (r *reporter) rhythm(t float64, state State) Rhythm {
	y := Rhythm{T: t, State: state}
	n := r.have()
	if state != Walking || n == 0 {
		return y
	}
	heard, recent := 0, 0
	for i := 0; i < n && (i == 0 || r.at(i).T > t-cadenceS); i++ {
		recent++
		if r.at(i).Heard {
			heard++
		}
	}
	y.Heard = float64(heard) / float64(recent)
	for i := range n {
		r.recent[n-1-i] = r.at(i)
	}
	y.Cadence, y.CadenceSD = MeanCadence(r.recent[:n], (recent-1)&^1)
	y.Unevenness = r.unevenness()
	y.Variability = r.variability()
	return y
}

// unevenness is the symmetry index of the step times, right minus left, in %
// (Robinson, Herzog, Nigg 1987). A step time belongs to the foot that ends it.
func (r *reporter) unevenness() float64 {
	var sum [3]float64
	var num [3]int
	for i := 0; i+1 < r.have(); i++ {
		a, b := r.at(i+1), r.at(i)
		if a.Heard && b.Heard {
			sum[b.Side] += b.T - a.T
			num[b.Side]++
		}
	}
	if num[Left] < unevenNeed || num[Right] < unevenNeed {
		return 0
	}
	left, right := sum[Left]/float64(num[Left]), sum[Right]/float64(num[Right])
	return 100 * (right - left) / (0.5 * (right + left))
}

// variability is the coefficient of variation of the stride time, in %, over
// the strides of both feet.
func (r *reporter) variability() float64 {
	stride := r.strides[:]
	n := 0
	for i := 0; i+2 < r.have() && n < strideMost; i++ {
		a, b := r.at(i+2), r.at(i)
		if a.Heard && b.Heard {
			stride[n] = b.T - a.T
			n++
		}
	}
	if n < strideNeed {
		return 0
	}
	mean, sd := stat.MeanStdDev(stride[:n], nil)
	return 100 * sd / mean
}
