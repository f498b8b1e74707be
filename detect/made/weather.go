package made

import (
	"math"
	"math/rand/v2"
)

// slow is a random level that changes over about the given time: the
// exponential of a low-passed noise, spread decibels SD about 1.
type slow struct {
	rng   *rand.Rand
	pole  float64
	dB    float64
	state float64
	every int
	n     int
	value float64
}

func newSlow(rng *rand.Rand, rate, seconds, spread float64) *slow {
	every := max(1, int(0.002*rate))
	return &slow{rng: rng, pole: math.Exp(-float64(every) / (seconds * rate)), dB: spread, every: every, state: rng.NormFloat64()}
}

func (s *slow) next() float64 {
	if s.n%s.every == 0 {
		s.state = s.pole*s.state + math.Sqrt(1-s.pole*s.pole)*s.rng.NormFloat64()
		s.value = amplitude(s.dB * s.state)
	}
	s.n++
	return s.value
}

// wind is turbulence at a microphone: noise that falls steeply above some
// 150 Hz, higher and louder in gusts of seconds, and fluttering. The hiss of
// the air elsewhere swells with the gusts but does not flutter.
func wind(x []float64, rng *rand.Rand, rate float64) {
	gust, flutter := newSlow(rng, rate, 1.5, 6), newSlow(rng, rate, 0.06, 4)
	f, hiss := newFilter(rate, 150, math.Sqrt2/2), newFlicker(rng, 30/rate, 0.5)
	for i := range x {
		g := gust.next()
		if i%256 == 0 {
			f.tune(rate, 150*min(max(g, 0.5), 4))
		}
		w := hiss.next()
		x[i] = g * (flutter.next()*f.step(w).low + 0.02*w)
	}
}

// traffic is a steady rumble below 120 Hz with cars passing every 8 s or so,
// whose tyres hiss about 900 Hz and swell and fade over 3 s.
func traffic(x []float64, rng *rand.Rand, rate float64) {
	rumble := make([]float64, len(x))
	fillPink(rumble, rng, rate)
	lowPass(rumble, rate, 120)
	scale(rumble, 1/math.Sqrt(power(rumble)))
	tyres := make([]float64, len(x))
	fillWhite(tyres, rng)
	bandPass(tyres, rate, 900, 0.8)
	scale(tyres, 1/math.Sqrt(power(tyres)))
	swell := make([]float64, len(x))
	for t := 8 * rng.Float64() * rate; t < float64(len(x)); t += (4 + 8*rng.Float64()) * rate {
		pass(swell, t, rate)
	}
	for i := range x {
		x[i] += rumble[i]*(1+0.7*swell[i]) + 0.8*tyres[i]*swell[i]
	}
}

// pass adds one car's loudness, nearest at sample t: the inverse square of its
// distance, cut off at 8 s.
func pass(swell []float64, t, rate float64) {
	for i := max(0, int(t-8*rate)); i < min(len(swell), int(t+8*rate)); i++ {
		d := (float64(i) - t) / (0.8 * rate)
		swell[i] += 1 / (1 + d*d)
	}
}
