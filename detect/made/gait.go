package made

import "math"

// Gait says when the feet touch the ground.
type Gait struct {
	Cadence    Curve        // steps/min over the time of the walk; nil: nobody walks
	JitterCV   float64      // coefficient of variation of the step time, %; 1 to 3 is human
	LongRange  float64      // share of the jitter's power that is slow and correlated, 0 to 1
	Unevenness float64      // symmetry index of the step times, right minus left, %
	FirstFoot  Side         // 0 is Left
	Start      float64      // time of the first step, s; 0 is 0.5
	Pauses     [][2]float64 // stretches without a step, from and to, s
	Missed     float64      // share of steps that make no sound, 0 to 1
}

// Steps returns the steps of the first duration seconds.
//
// The symmetry index is (R-L)/((R+L)/2), where R is the time from a left to
// the next right contact and L the other (Robinson, Herzog and Nigg 1987).
// Jitter is in the intervals, so the phase wanders, as a walker's does; the
// correlated share is 1/f noise, as in long walks at free pace (Hausdorff et
// al. 1996).
func (g Gait) Steps(seed uint64, duration float64) []Truth {
	if g.Cadence == nil {
		return nil
	}
	jitter, slow, missed := stream(seed, 1), newFlicker(stream(seed, 2), 0.004, 0.5), stream(seed, 3)
	side := g.FirstFoot
	if side == 0 {
		side = Left
	}
	t := g.Start
	if t == 0 {
		t = 0.5
	}
	var steps []Truth
	for {
		if end, ok := g.paused(t); ok {
			t = end
			continue
		}
		if t >= duration {
			return steps
		}
		steps = append(steps, Truth{T: t, Side: side, Silent: missed.Float64() < g.Missed})
		side = Left + Right - side
		uneven := g.Unevenness / 200
		if side == Left {
			uneven = -uneven
		}
		wobble := math.Sqrt(1-g.LongRange)*jitter.NormFloat64() + math.Sqrt(g.LongRange)*slow.next()
		t += 60 / g.Cadence(t) * (1 + uneven) * max(0.5, 1+g.JitterCV/100*wobble)
	}
}

// paused tells whether the walker stands at t, and until when.
func (g Gait) paused(t float64) (end float64, ok bool) {
	for _, p := range g.Pauses {
		if t >= p[0] && t < p[1] {
			return p[1], true
		}
	}
	return 0, false
}
