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

// Motion finds steps in the rows of an accelerometer, from 70 to 240 steps/min.
// Only the magnitude of the acceleration is used, so it does not matter how the
// sensor is turned or in what unit it counts. Make it with NewMotion; it must
// not be used by two goroutines at a time.
//
// A step's time is that of the body's greatest push within it: on made walks 60
// to 70 ms after the contact, in recordings with a counter in the shoe 40 to
// 100 ms before the counter rose, depending on where the sensor sat. While a
// walk goes on a step is told 0.3 s after it; of a new walk the first steps are
// told together, once three or four seconds have shown that it is one. Steps
// much weaker than the others are told only when stronger ones follow, so
// putting the sensor away adds none.
//
// The sway of the body goes through three gears, each with a range of cadences
// less than an octave, a smoothing that leaves one bump a step, and a rhythm
// filter of its own. The one that agrees with the strongest rate is believed.
type Motion struct {
	grid  resampler
	sway  *sway
	pulse *pulse
	gears []*gear
	walk  stretch
	rep   reporter
	away  int  // frames of the hole so far
	lost  bool // no row has come since Lose

	each   func(v float64) // is told of every frame, for a sensor beside a sound; may be nil
	look   func(Inside)
	inside Inside // scratch of show
}

const (
	motionRate  = 50.0  // frames a second
	holeS       = 0.5   // rows further apart than this: some are missing
	awayS       = 10    // s, a longer hole ends every rhythm, and its rest is passed over
	longestHole = 36000 // s, time stamps further apart than this are an error
)

// NewMotion returns a detector for accelerometer rows of any sampling, regular
// or not, from about 20 rows a second on.
func NewMotion(c MotionConfig) (*Motion, error) {
	m := &Motion{sway: newSway(), pulse: newPulse(), walk: newStretch(), rep: newReporter(c.FirstFoot)}
	for _, r := range gearRanges {
		m.gears = append(m.gears, newGear(r[0], r[1]))
	}
	return m, nil
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
		m.grid.begin(t, a)
		return dst, nil
	case t <= m.grid.t:
		return dst, fmt.Errorf("row at %g s is not later than the one before it, at %g s", t, m.grid.t)
	case t-m.grid.t > longestHole:
		return dst, fmt.Errorf("row at %g s comes %.0f hours after the one before it", t, (t-m.grid.t)/3600)
	}
	if m.lost { // what was before it says nothing about it
		m.lost, m.grid.v = false, a
	}
	return m.pass(dst, t, a, t-m.grid.t > holeS), nil
}

// Lose tells that no row will come from before time t, s: time goes on, as in a
// hole between rows, without waiting for its end. Before the first row it has the
// times of all events count from 0, and not from that row.
func (m *Motion) Lose(dst []Event, t float64) []Event {
	if !m.grid.started {
		m.grid.begin(0, 0)
		m.lost = true
	}
	if !(t > m.grid.t && t-m.grid.t <= longestHole) {
		return dst
	}
	m.lost = true
	return m.pass(dst, t, m.grid.v, true)
}

// pass gives the frames up to a row (t, a).
func (m *Motion) pass(dst []Event, t, a float64, hole bool) []Event {
	for v, ok := m.grid.to(t, a); ok; v, ok = m.grid.to(t, a) {
		if hole {
			m.rep.lost += 1 / motionRate
		}
		dst = m.frame(dst, v, hole)
		if m.each != nil {
			m.each(v)
		}
		if m.look != nil {
			m.show(m.grid.now(), m.state(hole))
		}
		dst = m.rep.tick(dst, m.grid.now(), m.state(hole))
	}
	m.grid.arrive(t, a)
	return dst
}

// Flush tells that the rows have ended, and reports what was held back.
func (m *Motion) Flush(dst []Event) []Event {
	for range m.sway.delay + peakReach + m.gears[0].track.patience + 1 {
		dst = m.frame(dst, 0, true)
	}
	return m.rep.gap(dst, m.grid.now())
}

// frame takes the mean magnitude over one frame; in a hole there is none, and
// the body is taken to be at rest.
func (m *Motion) frame(dst []Event, v float64, hole bool) []Event {
	m.away++
	if !hole {
		m.away = 0
	}
	if m.away > awayS*motionRate {
		m.walk.pass(m.gears)
		return dst
	}
	m.sway.next(v, hole)
	m.pulse.next(m.sway.quick())
	for _, g := range m.gears {
		g.next(m.sway)
	}
	m.walk.choose(m.gears, m.pulse)
	for _, c := range m.walk.next(m.gears, m.pulse) {
		dst = m.rep.step(dst, math.Max(0, c.t), c.placed, c.period)
	}
	return dst
}

func (m *Motion) state(hole bool) State {
	switch {
	case hole:
		return CannotHear
	case m.walk.walking():
		return Walking
	}
	return NotWalking
}
