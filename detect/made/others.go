package made

import (
	"math"
	"math/rand/v2"
)

// crowd is other walkers on the same surface, each at a cadence and gait of
// their own, and each with steps of unit power. They keep walking in the walker's pauses.
func crowd(s Spec, n Noise, rng *rand.Rand) []float64 {
	sum := make([]float64, int(s.Duration*s.Rate))
	for range or(n.Count, 3) {
		cadence := Steady(165 + 50*rng.Float64())
		if n.Beat != nil {
			cadence = n.Beat
		}
		o := Spec{
			Seed: rng.Uint64(), Rate: s.Rate, Duration: s.Duration, LevelJitter: 1.5,
			Surface: s.Surface, prepared: s.prepared,
			Gait: Gait{
				Cadence: cadence, JitterCV: 1 + 2*rng.Float64(), LongRange: 0.5,
				Unevenness: 2 * rng.NormFloat64(), Start: n.From + 0.05 + 0.3*rng.Float64(),
			},
		}
		add(sum, o.placeSteps(o.Gait.Steps(o.Seed, o.Duration)))
	}
	return sum
}

// clicks is a beat as it is played, at full scale, and as it arrives: later,
// and scaled so that each click has the power of a step over Window.
func clicks(s Spec, n Noise) (heard, played []float64) {
	played = make([]float64, int(s.Duration*s.Rate))
	click := make([]float64, int(Window*s.Rate))
	for i := range click {
		t := float64(i) / s.Rate
		click[i] = (math.Sin(2*math.Pi*1500*t) + 0.5*math.Sin(2*math.Pi*2700*t)) / 1.5 * math.Exp(-t/0.004)
	}
	for t := 0.0; t < s.Duration; t += 60 / n.Beat(t) {
		place(played, sound{x: click}, int(math.Round(t*s.Rate)), 1)
	}
	heard = make([]float64, len(played))
	if late := int(n.Delay * s.Rate); late < len(heard) {
		copy(heard[late:], played)
	}
	scale(heard, 1/math.Sqrt(power(click)))
	return heard, played
}
