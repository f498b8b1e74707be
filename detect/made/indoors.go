package made

import (
	"math"
	"math/rand/v2"
)

// typing adds someone at a keyboard: words of a few keys, 90 to 250 ms apart,
// each key a knock when it is pressed and a fainter one when it is let go.
func typing(x []float64, rng *rand.Rand, rate float64) {
	key := newFilter(rate, 2500, 1)
	for t := rng.Float64(); t < float64(len(x))/rate; t += 0.2 + 0.8*rng.Float64() {
		for range 2 + rng.IntN(8) {
			level := amplitude(3 * rng.NormFloat64())
			knock(x, rng, key, rate, t, level, 0.004)
			knock(x, rng, key, rate, t+0.06+0.05*rng.Float64(), 0.4*level, 0.003)
			t += 0.09 + 0.16*rng.Float64()
		}
	}
}

// water adds a tap running into a basin: a steady hiss, and some forty bubbles
// a second that ring for 10 ms.
func water(x []float64, rng *rand.Rand, rate float64) {
	hiss := newFilter(rate, 3500, 0.5)
	for i := range x {
		x[i] += 0.3 * hiss.step(rng.NormFloat64()).band
	}
	for t := 0.0; t < float64(len(x))/rate; t += rng.ExpFloat64() / 40 {
		hz := min(400*math.Exp(2*rng.Float64()), 0.45*rate)
		level := amplitude(6 * rng.NormFloat64())
		ring(x, rate, t, 0.05, func(s float64) float64 {
			return level * math.Sin(2*math.Pi*hz*s) * math.Exp(-s/0.010)
		})
	}
}

// clap adds one clap of the hands, a third of the way through.
func clap(x []float64, rng *rand.Rand, rate float64) {
	at := float64(len(x)) / rate / 3
	f := newFilter(rate, 1200, 1)
	for _, before := range []float64{0.011, 0.005, 0} { // the hands do not meet all at once
		knock(x, rng, f, rate, at-before, 1, 0.012)
	}
}

// knock adds a burst of noise through f that dies away within fade seconds.
func knock(x []float64, rng *rand.Rand, f *filter, rate, at, level, fade float64) {
	ring(x, rate, at, 8*fade, func(s float64) float64 {
		return level * f.step(rng.NormFloat64()*math.Exp(-s/fade)).band
	})
}

// ring adds what draw gives for every sample of the length seconds from at on,
// as far as x reaches; draw takes the time since at, s.
func ring(x []float64, rate, at, length float64, draw func(s float64) float64) {
	from := max(0, int(at*rate))
	for k := from; k < min(len(x), from+int(length*rate)); k++ {
		x[k] += draw(float64(k-from) / rate)
	}
}
