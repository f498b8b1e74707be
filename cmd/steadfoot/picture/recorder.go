// Package picture draws what the rhythm filter believes while it looks for
// steps: the evidence, whether somebody walks, how likely each cadence is, and
// the steps that were told.
package picture

import (
	"math"

	"steadfoot/detect"
)

const (
	evidenceMost = 4000  // columns of evidence, more than a page has dots
	beliefMost   = 1600  // columns of belief
	frameS       = 0.005 // s, the finest column
	lookS        = 0.020 // s between two looks at the cadences, at least
	slowestShown = 65.0  // steps/min
	fastestShown = 250.0
)

// Recorder keeps what is to be drawn, so coarsely that hours take no more
// memory than minutes. Give Look to the detector's Watch, and every event to
// Event.
type Recorder struct {
	from, to float64 // s; to may be infinite

	evidence columns // its maximum
	walking  columns // its mean
	state    columns // the last
	belief   columns // the mean, a row of cadences each
	edges    []float64
	scratch  []float64
	next     float64 // when to look at the cadences again, s

	steps []detect.Step
	told  []detect.Rhythm
	last  float64 // s
}

// New returns a recorder of the time between from and to, s; to may be infinite.
func New(from, to float64) *Recorder {
	r := &Recorder{from: from, to: to, last: from}
	for c := slowestShown; c <= fastestShown; c++ {
		r.edges = append(r.edges, c)
	}
	r.scratch = make([]float64, len(r.edges)-1)
	r.evidence = columns{width: frameS, most: evidenceMost, size: 1, join: greater}
	r.walking = columns{width: frameS, most: beliefMost, size: 1, join: mean}
	r.state = columns{width: frameS, most: beliefMost, size: 1, join: later}
	r.belief = columns{width: lookS, most: beliefMost, size: len(r.scratch), join: mean}
	return r
}

// Look takes what is believed at one frame.
func (r *Recorder) Look(i detect.Inside) {
	if i.T < r.from || i.T > r.to {
		return
	}
	at := i.T - r.from
	r.last = i.T
	r.evidence.add(at, i.Evidence)
	r.walking.add(at, i.Walking)
	r.state.add(at, float64(i.State))
	if i.T >= r.next {
		r.next = i.T + max(lookS, r.belief.width/4)
		clear(r.scratch)
		i.Cadences(r.scratch, r.edges)
		r.belief.add(at, r.scratch...)
	}
}

// Event takes what was told.
func (r *Recorder) Event(e detect.Event) {
	switch {
	case e.Kind == detect.KindStep && e.Step.T >= r.from && e.Step.T <= r.to:
		r.steps = append(r.steps, e.Step)
	case e.Kind == detect.KindRhythm && e.Rhythm.T >= r.from && e.Rhythm.T <= r.to:
		r.told = append(r.told, e.Rhythm)
	}
}

// columns are values over time, in columns of equal width. When there are more
// than most of them, neighbours are joined and the width doubles.
type columns struct {
	width float64 // s
	most  int
	size  int // values in a column
	join  func(a, b, n float64) float64
	value []float64
	n     []float64 // values that went into each column; 0: none did
}

// How columns join: a has n values in it, b is one more.
func greater(a, b, _ float64) float64 { return max(a, b) }
func mean(a, b, n float64) float64    { return a + (b-a)/(n+1) }
func later(_, b, _ float64) float64   { return b }

// add takes the values at a time, s since the start.
func (c *columns) add(at float64, value ...float64) {
	k := int(at / c.width)
	for k >= c.most {
		c.halve()
		k = int(at / c.width)
	}
	for len(c.n) <= k {
		c.n = append(c.n, 0)
		c.value = append(c.value, make([]float64, c.size)...)
	}
	for i, v := range value {
		if old := &c.value[k*c.size+i]; c.n[k] == 0 {
			*old = v
		} else {
			*old = c.join(*old, v, c.n[k])
		}
	}
	c.n[k]++
}

// halve joins neighbours.
func (c *columns) halve() {
	c.width *= 2
	half := (len(c.n) + 1) / 2
	for k := range half {
		a, b := 2*k, 2*k+1
		if b >= len(c.n) || c.n[b] == 0 {
			b = a
		} else if c.n[a] == 0 {
			a = b
		}
		for i := range c.size {
			v, w := c.value[a*c.size+i], c.value[b*c.size+i]
			c.value[k*c.size+i] = c.join(v, w, c.n[a]/max(c.n[b], 1))
		}
		n := c.n[a]
		if b != a {
			n += c.n[b]
		}
		c.n[k] = n
	}
	c.n, c.value = c.n[:half], c.value[:half*c.size]
}

// at returns a column, nil where there is none.
func (c *columns) at(k int) []float64 {
	if k < 0 || k >= len(c.n) || c.n[k] == 0 {
		return nil
	}
	return c.value[k*c.size : (k+1)*c.size]
}

// cadenceOf is the cadence of step i, by the time since the step before it, or of
// a first step to the next; NaN for one alone.
func (r *Recorder) cadenceOf(i int) float64 {
	const longest = 1.5 // s, between two steps of one walk
	if i > 0 && r.steps[i].T-r.steps[i-1].T < longest {
		return 60 / (r.steps[i].T - r.steps[i-1].T)
	}
	if i+1 < len(r.steps) && r.steps[i+1].T-r.steps[i].T < longest {
		return 60 / (r.steps[i+1].T - r.steps[i].T)
	}
	return math.NaN()
}
