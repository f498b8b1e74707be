package made

import (
	"math"
	"math/rand/v2"
)

// drums adds a drum loop in eighths: a bass drum on the first and third quarter,
// a snare on the second and fourth, and a hi-hat on every eighth. beat is in
// quarters a minute.
func drums(x []float64, rng *rand.Rand, rate float64, beat Curve) {
	hat, snare := newFilter(rate, 8000, 0.7), newFilter(rate, 1800, 0.5)
	for i, t := 0, 0.1; t < float64(len(x))/rate; i++ {
		knock(x, rng, hat, rate, t, 0.4, 0.015)
		switch i % 8 {
		case 0, 4:
			ring(x, rate, t, 0.3, func(s float64) float64 {
				return math.Sin(2*math.Pi*(50*s+1.4*(1-math.Exp(-s/0.03)))) * math.Exp(-s/0.08)
			})
		case 2, 6:
			knock(x, rng, snare, rate, t, 1, 0.05)
		}
		t += 30 / beat(t)
	}
}

// sewing adds a sewing machine: seams of some seconds, with a needle that comes
// down at beat a minute and goes up again, over the hum of a motor; between the
// seams it stands.
func sewing(x []float64, rng *rand.Rand, rate float64, beat Curve) {
	end := float64(len(x)) / rate
	down, up := newFilter(rate, 2200, 1), newFilter(rate, 1100, 1)
	for t := 0.3; t < end; t += 0.7 + rng.Float64() {
		stop := min(end, t+4+6*rng.Float64())
		ring(x, rate, t, stop-t, func(s float64) float64 {
			return 0.1 * (math.Sin(2*math.Pi*100*s) + 0.5*math.Sin(2*math.Pi*300*s))
		})
		for t < stop {
			period := 60 / beat(t)
			knock(x, rng, down, rate, t, 1, 0.006)
			knock(x, rng, up, rate, t+0.45*period, 0.5, 0.006)
			t += period * (1 + 0.005*rng.NormFloat64())
		}
	}
}
