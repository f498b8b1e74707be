package clock

import (
	"math"
	"slices"
)

const (
	// window is how many exchanges the line is drawn through: minutes, which a
	// drift needs. Where both ends of 100 s are known to 1 ms, the drift is known
	// to 14 ppm.
	window = 128
	// crystal is what is held of a clock's drift before anything is known, s/s:
	// a standard deviation. Crystals are within 50 ppm as a rule and 100 ppm
	// mostly (common practice, no source).
	crystal = 100e-6
	// mostDrift is the most that is believed, s/s.
	mostDrift = 300e-6
	// wander is how much the drift itself may change, s/s: warmth moves a
	// crystal by a few ppm (common practice, no source).
	wander = 1e-6
)

// sample is an exchange as the line sees it.
type sample struct {
	t     float64 // the member's clock, s
	off   float64 // offset there, s
	delay float64 // s
	err   float64 // the most that off may be wrong by, s
	extra float64 // of err, what the delay does not explain: the hub's own spread, s
}

func sampleOf(e Exchange) sample {
	return sample{t: e.mid(), off: e.Offset(), delay: math.Abs(e.rawDelay()), err: e.Error(), extra: e.Spread}
}

// held is what was known of the offset before the samples of a line.
type held struct {
	t, off, sd float64 // sd 0: nothing
	drift      float64 // s/s
	driftSD    float64 //
}

// line is the offset over the member's clock: a line through the samples that
// trusts each as far as its delay allows.
type line struct {
	samples []sample
	before  held
}

// estimate is what a line says.
type estimate struct {
	t      float64 // the member's clock, s
	off    float64 // the offset there, s
	drift  float64 // s/s
	lo, hi float64 // where the offset must be
	// variances and covariance of off and drift
	vOff, vBoth, vDrift float64
}

func (l *line) add(s sample) {
	if len(l.samples) == window {
		copy(l.samples, l.samples[1:])
		l.samples = l.samples[:window-1]
	}
	l.samples = append(l.samples, s)
}

// fit draws the line and gives its value at a time not before the samples.
//
// An exchange that took x longer than the quickest one met queues of x on its
// two ways, in any share; its offset is wrong by up to ±x/2, evenly, which has a
// standard deviation of x/√12. Least squares with these weights is nearly a
// choice of the quickest exchanges.
func (l *line) fit(t float64) estimate {
	quickest, unseen := l.quickest()
	// Normal equations for off at t and drift.
	var w, wx, wxx, wy, wxy float64
	put := func(x, y, variance float64) {
		g := 1 / variance
		w, wx, wxx, wy, wxy = w+g, wx+g*x, wxx+g*x*x, wy+g*y, wxy+g*x*y
	}
	for _, s := range l.samples {
		x := s.t - t
		put(x, s.off, sq(precision)+sq(s.delay-quickest+unseen)/12+sq(s.extra)+sq(wander*x))
	}
	if b := l.before; b.sd > 0 {
		put(b.t-t, b.off, sq(b.sd)+sq(phi*(b.t-t)))
	}
	g := 1 / sq(l.before.driftSD)
	wxx, wxy = wxx+g, wxy+g*l.before.drift
	det := w*wxx - wx*wx
	e := estimate{t: t, off: (wxx*wy - wx*wxy) / det, vOff: wxx / det, vBoth: -wx / det, vDrift: w / det}
	e.drift = min(max((w*wxy-wx*wy)/det, -mostDrift), mostDrift)
	l.bounds(&e)
	e.off = min(max(e.off, e.lo), e.hi)
	return e
}

// quickest is the least delay, and by how much it is likely to lie above what the
// path needs without queues, s. For a sample to be that quick two queues must be
// short at once, so the least of n delays comes down as 1/√n only.
func (l *line) quickest() (delay, unseen float64) {
	n := len(l.samples)
	var all [window]float64
	for i, s := range l.samples {
		all[i] = s.delay
	}
	slices.Sort(all[:n])
	if n < 2 {
		return all[0], all[0]
	}
	return all[0], (all[n/2] - all[0]) / (math.Sqrt(float64(n)) - 1)
}

// bounds sets where the offset must be: what all samples allow, or the latest of
// them when older ones contradict them.
func (l *line) bounds(e *estimate) {
	e.lo, e.hi = math.Inf(-1), math.Inf(1)
	for i := len(l.samples) - 1; i >= 0; i-- {
		s := l.samples[i]
		dt := e.t - s.t
		off, err := s.off+e.drift*dt, s.err+e.slack()*math.Abs(dt)
		lo, hi := max(e.lo, off-err), min(e.hi, off+err)
		if lo > hi {
			return
		}
		e.lo, e.hi = lo, hi
	}
}

// slack is how far the drift may be off, s/s.
func (e estimate) slack() float64 { return max(phi, 2*math.Sqrt(e.vDrift)) }

// at is the estimate for another time, as it is without further exchanges.
func (e estimate) at(t float64) estimate {
	dt := t - e.t
	e.t = t
	e.off += e.drift * dt
	e.vOff += 2*e.vBoth*dt + e.vDrift*dt*dt + sq(wander*dt)
	e.vBoth += e.vDrift * dt
	e.lo += e.drift*dt - e.slack()*math.Abs(dt)
	e.hi += e.drift*dt + e.slack()*math.Abs(dt)
	return e
}

func sq(x float64) float64 { return x * x }
