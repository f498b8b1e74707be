package made

import (
	"math"
	"math/rand/v2"
)

// breath follows the steps: in over the first half of each cycle of steps, out
// over the second, out louder and lower.
func breath(x []float64, rng *rand.Rand, rate float64, steps []Truth, cycle int) {
	in, out := newFilter(rate, 1800, 1), newFilter(rate, 900, 1)
	half := cycle / 2
	for i := 0; i+half < len(steps); i += half {
		from, to := int(steps[i].T*rate), int(steps[i+half].T*rate)
		if to-from > int(3*rate) {
			continue // a pause lies between
		}
		exhale := (i/half)%2 == 1
		level := amplitude(1.5 * rng.NormFloat64())
		for k := from; k < min(to, len(x)); k++ {
			swell := hump(float64(k-from)/float64(to-from), 0.35)
			w := rng.NormFloat64()
			if exhale {
				x[k] += 1.8 * level * swell * out.step(w).band
			} else {
				x[k] += level * swell * in.step(w).band
			}
		}
	}
}

// rustle is clothing rubbing at the middle of each step, between 2 and 8 kHz.
func rustle(x []float64, rng *rand.Rand, rate float64, steps []Truth) {
	f := newFilter(rate, 4000, 0.7)
	for i := 0; i+1 < len(steps); i++ {
		from, to := int(steps[i].T*rate), int(steps[i+1].T*rate)
		if to-from > int(rate) {
			continue
		}
		level := amplitude(3 * rng.NormFloat64())
		for k := from; k < min(to, len(x)); k++ {
			x[k] += level * hump(float64(k-from)/float64(to-from), 0.5) * f.step(rng.NormFloat64()).band
		}
	}
}

// hump rises from 0 at u = 0 to 1 at the peak and falls to 0 at u = 1, smoothly.
func hump(u, peak float64) float64 {
	if u < peak {
		return 0.5 - 0.5*math.Cos(math.Pi*u/peak)
	}
	return 0.5 + 0.5*math.Cos(math.Pi*(u-peak)/(1-peak))
}
