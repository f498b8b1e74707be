package detect

import "math"

const (
	earS      = 0.0032 // s, SD of a step's time when little is known: 2.3 ms without noise, 4 ms in noise as loud as the steps
	earWorth  = 60     // steps that this is worth
	earLeastS = 0.002  // s, and its least
	bridgeSD  = 0.03   // SD of the time of a step that was not heard, share of a step
	meanLeast = 4      // intervals, before there is a cadence
)

// MeanCadence is the cadence over the last n intervals between steps, which are
// in order of time, and its standard error, both in steps/min; both are 0 when
// there are not so many intervals, or fewer than four. An even n keeps an uneven
// gait out of it.
//
// The mean is that of the very steps it is taken from. What the walker varies
// from step to step is in it, so only the times of the first and the last step
// can be wrong, and its standard error is theirs. How far they are off shows in
// all the steps: a step that is heard late makes one interval longer and the
// next one shorter, while a longer step of the walker's leaves the next as it is.
// That is the model of A. M. Wing and A. B. Kristofferson, "Response delays and
// the timing of discrete motor responses", Percept Psychophys 14 (1973) 5; here
// each interval is taken against the one before it of the same foot, and so the
// limp and slow changes are left out.
func MeanCadence(steps []Step, n int) (cadence, sd float64) {
	last := len(steps) - 1
	if n < meanLeast || n > last {
		return 0, 0
	}
	span := steps[last].T - steps[last-n].T
	heard := timing(steps)
	step := span / float64(n)
	var sum float64
	for _, s := range [...]Step{steps[last], steps[last-n]} {
		sum += heard
		if !s.Heard {
			sum += bridgeSD * bridgeSD * step * step
		}
	}
	cadence = 60 / step
	return cadence, cadence * math.Sqrt(sum) / span
}

// timing is the variance of the times of heard steps, s².
func timing(steps []Step) float64 {
	var sum float64
	n := 0
	heard, before := 0, 0.0 // heard steps in a row, and the difference before
	for i, s := range steps {
		if heard++; !s.Heard {
			heard = 0
		}
		if heard < 4 {
			continue
		}
		d := s.T - steps[i-1].T - (steps[i-2].T - steps[i-3].T)
		if heard > 4 {
			sum -= d * before
			n++
		}
		before = d
	}
	v := (earWorth*earS*earS + sum) / (earWorth + float64(n))
	return math.Max(v, earLeastS*earLeastS)
}
