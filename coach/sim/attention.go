package sim

import "math/rand/v2"

// Attention comes and goes. All values are the project's choice.
type Attention struct {
	On, Off float64 // how long a spell with and without it lasts on average, s; drawn from exponential distributions
	Wakes   float64 // chance that a word ends a lapse, 0 to 1
}

// mind is attention in the course of a walk.
type mind struct {
	Attention
	rng   *rand.Rand
	on    bool
	until float64 // s
}

func newMind(seed uint64, a Attention) *mind {
	m := &mind{Attention: a, rng: stream(seed, partAttention), on: true}
	m.until = m.On * m.rng.ExpFloat64()
	return m
}

// at moves on to t and tells whether a lapse has begun since the last call.
func (m *mind) at(t float64) (lapsed bool) {
	for t >= m.until {
		m.on = !m.on
		if m.on {
			m.until += m.On * m.rng.ExpFloat64()
		} else {
			m.until += m.Off * m.rng.ExpFloat64()
			lapsed = true
		}
	}
	return lapsed && !m.on
}

// word is something said at t. It may bring the attention back; luck is from 0
// to 1.
func (m *mind) word(t, luck float64) {
	if !m.on && luck < m.Wakes {
		m.on, m.until = true, t+m.On*m.rng.ExpFloat64()
	}
}
