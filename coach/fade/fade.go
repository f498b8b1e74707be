// Package fade finds where a walk loses speed, and to what: does step length go
// first or cadence, from when on, and how much did it cost.
//
// [Find] looks at one of the two, [Of] at both. The model is the simplest that
// has a beginning: level up to some time, then falling (or rising) on a straight
// line. The time comes with an interval, and with few or noisy values the answer
// is that no fade is shown.
package fade

import (
	"errors"
	"fmt"
	"math"
)

// Point is the mean over one stretch: a lap, or some seconds of walking.
type Point struct {
	T       float64 // middle of the stretch, s
	Span    float64 // its length, s
	Cadence float64 // steps/min
	Length  float64 // step length, m; 0 when it is not known
}

// Drop is a change that begins at some time.
type Drop struct {
	Shown  bool    `json:"shown"`          // the data show one; the other fields say nothing without it
	From   float64 `json:"from,omitempty"` // when it begins, s
	Low    float64 `json:"low,omitempty"`  // 95 % interval of From, s
	High   float64 `json:"high,omitempty"`
	Change float64 `json:"change,omitempty"` // at the end against before, as a share: -0.03 is 3 % lower
	Cost   float64 `json:"cost,omitempty"`   // time lost by it until the end, s; negative when it gained some
}

// LeastPoints is the fewest stretches a fade is looked for in.
const LeastPoints = 8

const (
	// evidence is what n·ln(RSS level / RSS best) must exceed. The level is
	// beaten by chance alone more easily than χ² says, as the best of many
	// beginnings is taken; with this value it is in at most 5 % of made series of
	// 8 to 100 values without a fade, which is tested.
	evidence = 11.5
	// within is the same for beginnings that are as good as the best: χ² with
	// one degree of freedom, 95 %.
	within = 3.84
	// least is the smallest change worth telling, as a share: 0.5 % is one step
	// a minute, or half a centimetre.
	least = 0.005
)

// Find looks for a drop in values that are positive, at times t in s, rising,
// each standing for span s. It fails for too few values or ones that are no
// numbers.
func Find(t, value, span []float64) (Drop, error) {
	n := len(t)
	if n < LeastPoints || len(value) != n || len(span) != n {
		return Drop{}, fmt.Errorf("%d stretches are too few to look for a fade in; it takes %d", n, LeastPoints)
	}
	y := make([]float64, n)
	for i, v := range value {
		if !(v > 0) || math.IsInf(v, 0) || i > 0 && !(t[i] > t[i-1]) {
			return Drop{}, errors.New("a fade is looked for in positive values at rising times")
		}
		y[i] = math.Log(v)
	}
	level := rss(y, nil)
	best, fits := broken(t, y)
	floor := 1e-12 // of exact values: rounding is no evidence
	if ratio := (level + floor) / (best.rss + floor); float64(n)*math.Log(ratio) < evidence {
		return Drop{}, nil
	}
	d := Drop{From: best.from, Low: best.from, High: best.from, Change: math.Expm1(best.slope * (t[n-1] - best.from))}
	for _, f := range fits {
		if float64(n)*math.Log((f.rss+floor)/(best.rss+floor)) <= within {
			d.Low, d.High = min(d.Low, f.from), max(d.High, f.from)
		}
	}
	if d.Shown = math.Abs(d.Change) >= least; !d.Shown {
		return Drop{}, nil
	}
	for i := range t {
		if t[i] > best.from {
			d.Cost -= span[i] * math.Expm1(best.slope*(t[i]-best.from))
		}
	}
	return d, nil
}

// stick is a level line that bends at from.
type stick struct{ from, slope, rss float64 }

// broken fits a bend at each time up to the third from the end, and returns the
// best one and all. Between two times it would fit as well; the grid of the
// stretches is what the data resolve.
func broken(t, y []float64) (best stick, all []stick) {
	n := len(t)
	best.rss = math.Inf(1)
	x := make([]float64, n)
	for k := range n - 2 {
		for i := range x {
			x[i] = max(0, t[i]-t[k])
		}
		slope := slopeOf(x, y)
		s := stick{from: t[k], slope: slope, rss: rss(y, func(i int) float64 { return slope * x[i] })}
		all = append(all, s)
		if s.rss < best.rss {
			best = s
		}
	}
	return best, all
}

func slopeOf(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var sxy, sxx float64
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
		sxx += (x[i] - mx) * (x[i] - mx)
	}
	return sxy / sxx
}

// rss is the sum of squares of y less trend around its mean.
func rss(y []float64, trend func(int) float64) float64 {
	r := append([]float64(nil), y...)
	if trend != nil {
		for i := range r {
			r[i] -= trend(i)
		}
	}
	m, sum := mean(r), 0.0
	for _, v := range r {
		sum += (v - m) * (v - m)
	}
	return sum
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
