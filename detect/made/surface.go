package made

import (
	"math"
	"math/rand/v2"
)

// Surface is what footsteps sound like: one or more sounds of single footfalls,
// of which each step takes one at random.
type Surface struct {
	Name   string
	Rate   float64     // Hz
	Sounds [][]float32 // mono
}

// Real makes a surface of recorded single footsteps.
func Real(name string, rate float64, sounds ...[]float32) *Surface {
	return &Surface{Name: name, Rate: rate, Sounds: sounds}
}

// HeelStrike is a made surface: the thump of a heel and the click of a sole.
func HeelStrike() *Surface {
	return synthetic("heel strike", 4, func(rng *rand.Rand, x []float64) {
		strike(rng, x, 0, 1)
	})
}

// HeelAndForefoot is a made surface with two strikes of equal strength a footfall,
// gap seconds apart.
func HeelAndForefoot(gap float64) *Surface {
	return synthetic("heel and forefoot", 4, func(rng *rand.Rand, x []float64) {
		strike(rng, x, 0, 1)
		strike(rng, x, int((gap+0.003*rng.NormFloat64())*48000), 1)
	})
}

// Rustling is a made surface without a sharp start, like long grass: noise that
// swells over 40 ms and dies away over 150 ms.
func Rustling() *Surface {
	return synthetic("rustling", 4, func(rng *rand.Rand, x []float64) {
		for i := range x {
			t := float64(i) / 48000
			x[i] = rng.NormFloat64() * math.Min(t/0.040, 1) * math.Exp(-t/0.050)
		}
		bandPass(x, 48000, 3000, 0.7)
	})
}

// synthetic makes n variants of a sound 0.25 s long. They are the same for
// every seed: the shoe does not change from walk to walk.
func synthetic(name string, n int, draw func(*rand.Rand, []float64)) *Surface {
	s := &Surface{Name: name, Rate: 48000}
	for i := range n {
		x := make([]float64, 12000)
		draw(stream(uint64(i), 10), x)
		s.Sounds = append(s.Sounds, toFloat32(x))
	}
	return s
}

// strike adds one hard contact: a thump about 90 Hz that dies in 25 ms, a knock
// about 400 Hz, and a burst of noise from 1 kHz up that dies in 6 ms.
func strike(rng *rand.Rand, x []float64, at int, level float64) {
	thump, knock := 90*(1+0.08*rng.NormFloat64()), 400*(1+0.1*rng.NormFloat64())
	click := make([]float64, len(x))
	for i := range len(x) - at {
		t := float64(i) / 48000
		click[i] = rng.NormFloat64() * math.Exp(-t/0.006)
		x[at+i] += level * (0.5*math.Sin(2*math.Pi*thump*t)*math.Exp(-t/0.025) +
			0.4*math.Sin(2*math.Pi*knock*t)*math.Exp(-t/0.015))
	}
	highPass(click, 48000, 1000)
	for i := range len(x) - at {
		x[at+i] += level * 0.4 * click[i]
	}
}
