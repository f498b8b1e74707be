package coach

import (
	"math"
	"math/rand/v2"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// model is a walker by the linear model of synchronising to a beat: with each
// step a share alpha of the asynchrony is made up (A[n+1] = (1−α)·A[n] + noise,
// typical α 0.2 to 0.8; Vorberg and Wing, Repp 2005, from memory), and a share
// beta of the difference between the beat's period and one's own. Without a beat
// the walker goes back to the own cadence little by little.
type model struct {
	alpha, beta float64
	noise       float64               // SD of a step, s
	own         func(float64) float64 // cadence by oneself at a time, steps/min
	early       float64               // by how much the foot wants to be before the beat, s
	delay       float64               // until a step is told, s
	swapped     bool                  // the detector names the feet the wrong way round

	coach  *Coach
	rng    *rand.Rand
	t      float64 // of the last step
	period float64
	n      int
	steps  []detect.Step // the last 4 s and those to be told
	told   int
	tick   float64
	out    []event.Event

	onStep func(t, asynchrony float64) // asynchrony is NaN without a beat
	onTell func([]event.Event)
}

func (m *model) begin(c *Coach, seed uint64) {
	m.coach, m.rng = c, rand.New(rand.NewPCG(seed, 7))
	m.hand(event.Mark{T: 0, Name: event.MarkStart})
	m.t, m.tick = 1, 0.5
	m.period = 60 / m.own(0)
}

func (m *model) hand(e event.Event) {
	m.out = m.coach.Handle(m.out[:0], e)
	if m.onTell != nil {
		m.onTell(m.out)
	}
}

// walk goes on until a time in s.
func (m *model) walk(until float64) {
	for m.t < until {
		a := m.asynchrony()
		if m.onStep != nil {
			m.onStep(m.t, a)
		}
		next := m.t + m.period + m.noise*m.rng.NormFloat64()
		own := 60 / m.own(m.t)
		if math.IsNaN(a) {
			m.period += 0.05 * (own - m.period)
		} else {
			next -= m.alpha * a
			m.period += m.beta*(m.beatPeriod()-m.period) + 0.02*(own-m.period)
		}
		side := detect.Left
		if (m.n%2 == 1) != m.swapped {
			side = detect.Right
		}
		m.n++
		m.steps = append(m.steps, detect.Step{T: m.t, Side: side, Confidence: 1, Heard: true})
		m.t = next
		m.tell(next)
	}
}

// tell hands the coach what is known before the next step.
func (m *model) tell(now float64) {
	for {
		step := math.Inf(1)
		if m.told < len(m.steps) {
			step = m.steps[m.told].T + m.delay
		}
		switch {
		case min(step, m.tick) > now:
			return
		case step <= m.tick:
			m.told++
			m.hand(event.Step{Step: m.steps[m.told-1]})
		default:
			m.hand(event.Rhythm{Rhythm: m.rhythm()})
			m.tick += 0.5
		}
	}
}

// rhythm is the cadence over the last 4 s, as the detector gives it.
func (m *model) rhythm() detect.Rhythm {
	for m.told > 0 && m.steps[0].T < m.tick-4 {
		m.steps = m.steps[1:]
		m.told--
	}
	r := detect.Rhythm{T: m.tick, State: detect.Walking, Heard: 1}
	if m.told < 5 {
		r.CadenceSD = math.Inf(1)
		return r
	}
	r.Cadence = 60 * float64(m.told-1) / (m.steps[m.told-1].T - m.steps[0].T)
	r.CadenceSD = 0.4
	return r
}

func (m *model) beatPeriod() float64 {
	p := m.coach.Beats().Pieces()
	if len(p) == 0 || p[len(p)-1].Period == 0 {
		return m.period
	}
	return p[len(p)-1].Period
}

// asynchrony is by how much the last foot is later than it wants to be with
// respect to the nearest beat, s.
func (m *model) asynchrony() float64 {
	best := math.NaN()
	want := m.t + m.early
	m.coach.Beats().Between(want-m.period, want+m.period, func(b Beat) {
		if a := want - b.T; !(math.Abs(a) >= math.Abs(best)) {
			best = a
		}
	})
	if math.Abs(best) > 0.51*m.period {
		return math.NaN()
	}
	return best
}

func steadily(cadence float64) func(float64) float64 {
	return func(float64) float64 { return cadence }
}
