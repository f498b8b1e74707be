package detect

import (
	"fmt"
	"math"
)

// MotionConfig says what the sensor's rows are like.
type MotionConfig struct {
	// FirstFoot names the first step of a stretch; Unknown means Left.
	FirstFoot Side
}

// Motion finds steps in the rows of an accelerometer. Only the magnitude of the
// acceleration is used, so it does not matter how the sensor is turned or in
// what unit it counts. Make it with NewMotion; it must not be used by two
// goroutines at a time.
type Motion struct {
	grid  resampler
	sway  sway
	track *tracker
	rep   reporter
	start float64 // time of the first row
}

const (
	motionRate  = 100.0 // frames a second
	holeS       = 0.5   // rows further apart than this: some are missing
	motionLagS  = 0.085 // smoothing, and the body's way from contact to the greatest push
	longestHole = 36000 // s, time stamps further apart than this are an error
)

// NewMotion returns a detector for accelerometer rows of any sampling, regular
// or not, from about 20 rows a second on.
func NewMotion(c MotionConfig) (*Motion, error) {
	return &Motion{track: newTracker(tuning{frameRate: motionRate, others: 3, jitter: 2, second: 0}), rep: newReporter(c.FirstFoot), sway: newSway()}, nil
}

// Feed takes the acceleration x, y, z at time t (s), gravity included, all in
// one unit, whichever it is; a sensor that gives only the magnitude puts it in
// x. It appends what came to light to dst and returns it. A row that is not
// later than the one before it, or holds no finite numbers, is an error and is
// left out; so is one more than ten hours later.
func (m *Motion) Feed(dst []Event, t, x, y, z float64) ([]Event, error) {
	a := math.Sqrt(x*x + y*y + z*z)
	switch {
	case math.IsNaN(t+a) || math.IsInf(t+a, 0):
		return dst, fmt.Errorf("row at %g s: not a finite number", t)
	case !m.grid.started:
		m.start = t
		m.grid.begin(t, a)
		return dst, nil
	case t <= m.grid.t:
		return dst, fmt.Errorf("row at %g s is not later than the one before it, at %g s", t, m.grid.t)
	case t-m.grid.t > longestHole:
		return dst, fmt.Errorf("row at %g s comes %.0f hours after the one before it", t, (t-m.grid.t)/3600)
	}
	hole := t-m.grid.t > holeS
	for v, ok := m.grid.to(t, a); ok; v, ok = m.grid.to(t, a) {
		e := m.sway.next(v)
		if hole {
			e = 0
			m.rep.lost += 1 / motionRate
		}
		dst = m.steps(dst, m.track.next(e, !hole))
		dst = m.rep.tick(dst, m.now(), m.track.state(hole))
	}
	m.grid.arrive(t, a)
	return dst, nil
}

// Flush tells that the rows have ended, and reports what was held back.
func (m *Motion) Flush(dst []Event) []Event {
	for range peakReach + m.track.patience + 1 {
		dst = m.steps(dst, m.track.next(0, true))
	}
	return m.rep.gap(dst, m.now())
}

// now is the time of the last frame since the first row, s.
func (m *Motion) now() float64 { return float64(m.grid.n) / motionRate }

func (m *Motion) steps(dst []Event, found []placed) []Event {
	for _, p := range found {
		t := (float64(p.frame)+1+p.offset)/motionRate - motionLagS
		dst = m.rep.step(dst, math.Max(0, t), p, m.track.period/motionRate)
	}
	return dst
}

// resampler puts irregular rows on the frame grid, by straight lines.
type resampler struct {
	started bool
	t0, t   float64 // of the first and the last row
	v       float64
	n       int // frames given
}

func (r *resampler) begin(t, v float64) { r.started, r.t0, r.t, r.v = true, t, t, v }

// to gives the next frame that lies before the row (t, v); ok is false when
// there is none left.
func (r *resampler) to(t, v float64) (float64, bool) {
	at := r.t0 + float64(r.n+1)/motionRate
	if at > t {
		return 0, false
	}
	r.n++
	return r.v + (v-r.v)*(at-r.t)/(t-r.t), true
}

func (r *resampler) arrive(t, v float64) { r.t, r.v = t, v }
