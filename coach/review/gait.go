package review

import (
	"math"

	"steadfoot/coach"
	"steadfoot/detect"
)

// interval is the time from one step to the next.
type interval struct {
	length float64     // s
	side   detect.Side // foot of the step that ends it
	sound  bool        // one step apart, and both of them heard
	broken bool        // a gap lies within: the feet may have changed names
}

// near is how many intervals on each side an interval is compared with.
const near = 8

// intervals returns the intervals between the steps. One is sound when both
// its steps were heard, no gap lies between them, the foot changes, and it is
// not more than 1.5 times or less than half the median of those around it: a
// missed step must not pass for a long interval, nor an invented one for two
// short ones.
func intervals(steps []detect.Step, gaps []Gap) []interval {
	if len(steps) < 2 {
		return nil
	}
	lengths := make([]float64, len(steps)-1)
	for i := range lengths {
		lengths[i] = steps[i+1].T - steps[i].T
	}
	out := make([]interval, len(lengths))
	for i := range out {
		a, b := steps[i], steps[i+1]
		for len(gaps) > 0 && gaps[0].T < a.T {
			gaps = gaps[1:]
		}
		broken := len(gaps) > 0 && gaps[0].T < b.T
		typical := coach.Median(lengths[max(0, i-near):min(len(lengths), i+near+1)])
		single := lengths[i] >= 0.5*typical && lengths[i] <= 1.5*typical
		sound := a.Heard && b.Heard && b.Side == a.Side.Other() && single && !broken
		out[i] = interval{lengths[i], b.Side, sound, broken}
	}
	return out
}

// evenSteps is how many steps of each foot a stretch of walking must have to
// tell anything of unevenness.
const evenSteps = 20

// unevenness is the size of the symmetry index of left and right step times
// in %: a step belongs to the foot that ends it. It is computed for each
// stretch between gaps and averaged by their steps. It has no sign, because
// after a gap left and right may have changed places. Nil when no stretch has
// twenty sound steps of each foot.
func unevenness(in []interval) *float64 {
	var sum, weight float64
	var left, right mean
	settle := func() {
		if left.n >= evenSteps && right.n >= evenSteps {
			n := float64(left.n + right.n)
			sum += n * math.Abs(coach.SymmetryIndex(right.value(), left.value()))
			weight += n
		}
		left, right = mean{}, mean{}
	}
	for _, i := range in {
		switch {
		case i.broken:
			settle()
		case i.sound && i.side == detect.Left:
			left.add(i.length)
		case i.sound && i.side == detect.Right:
			right.add(i.length)
		}
	}
	settle()
	if weight == 0 {
		return nil
	}
	return new(sum / weight)
}

type mean struct {
	sum float64
	n   int
}

func (m *mean) add(x float64)  { m.sum += x; m.n++ }
func (m *mean) value() float64 { return m.sum / float64(m.n) }

// A piece for variability is short enough, some 20 s, that a change of pace
// does not pass for variability, and long enough to give a figure.
const (
	longestPiece  = 30 // strides
	shortestPiece = 8  // strides
)

// variability is the coefficient of variation of stride time in %, pooled over
// pieces of strides of one foot. A stride counts when both its step intervals
// are sound. Nil when there is no piece long enough.
func variability(in []interval) *float64 {
	var squares, freedom float64
	var feet [2][]float64
	settle := func() {
		for f, strides := range feet {
			if len(strides) >= shortestPiece {
				n, cv := float64(len(strides)-1), coach.CV(strides)
				squares += n * cv * cv
				freedom += n
			}
			feet[f] = strides[:0]
		}
	}
	for i := 1; i < len(in); i++ {
		if in[i].broken {
			settle()
		}
		if !in[i-1].sound || !in[i].sound {
			continue
		}
		feet[i%2] = append(feet[i%2], in[i-1].length+in[i].length)
		if len(feet[i%2]) == longestPiece {
			settle()
		}
	}
	settle()
	if freedom == 0 {
		return nil
	}
	return new(math.Sqrt(squares / freedom))
}
