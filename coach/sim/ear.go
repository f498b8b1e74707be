package sim

import (
	"math"
	"math/rand/v2"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

// What the ear does to the steps. The delays and errors are of the size that
// cmd/eval measures for the detector with noise as loud as the steps; the share
// of missed steps is a bad day's.
const (
	foundS    = 3.0   // steps are told from here on, those before together with it, s
	toldS     = 0.030 // from a contact until the step is told, s
	toldSD    = 0.010 // s
	misplaced = 0.004 // SD of the time of a step, s
	missed    = 0.03  // share of steps that are bridged
	tickS     = 0.5   // a rhythm is given this often, s
	cadenceS  = 4.0   // the cadence is taken over this long, s
	keptSteps = 64    // steps that the unevenness is taken over
	feetLow   = 8     // intervals of each foot, before there is an unevenness
)

// ear stands in for the detector: it tells true steps as a detector would, and
// the rhythm every half second.
type ear struct {
	rng     *rand.Rand
	waiting []heard // steps not yet told
	told    []detect.Step
	last    float64 // the time given to the last step, s
	ticks   int
}

type heard struct {
	at float64 // when it is told, s
	detect.Step
}

func newEar(seed uint64) *ear { return &ear{rng: stream(seed, partEar)} }

// step takes in a true step.
func (e *ear) step(t float64, side detect.Side) {
	error, delay, lot := e.rng.NormFloat64(), e.rng.NormFloat64(), e.rng.Float64()
	s := detect.Step{T: t + misplaced*error, Side: side, Confidence: 0.95, Heard: true}
	if lot < missed && len(e.told) > 1 {
		// Bridged: where the rhythm expects it.
		first, last := e.told[max(0, len(e.told)-9)], e.told[len(e.told)-1]
		n := min(8, len(e.told)-1)
		s.T, s.Confidence, s.Heard = e.last+(last.T-first.T)/float64(n), 0.5, false
	}
	s.T = max(s.T, e.last+0.001)
	e.last = s.T
	at := max(t+max(0.01, toldS+toldSD*delay), foundS)
	e.waiting = append(e.waiting, heard{at, s})
}

// until appends what is told up to t, in order.
func (e *ear) until(dst []event.Event, t float64) []event.Event {
	for {
		tick := tickS * float64(e.ticks+1)
		switch {
		case len(e.waiting) > 0 && e.waiting[0].at <= min(t, tick):
			dst = append(dst, event.Step{Step: e.waiting[0].Step})
			e.keep(e.waiting[0].Step)
			e.waiting = e.waiting[1:]
		case tick <= t:
			e.ticks++
			dst = append(dst, event.Rhythm{Rhythm: e.rhythm(tick)})
		default:
			return dst
		}
	}
}

func (e *ear) keep(s detect.Step) {
	if len(e.told) == keptSteps {
		e.told = append(e.told[:0], e.told[1:]...)
	}
	e.told = append(e.told, s)
}

// rhythm is computed from the told steps as detect does it.
func (e *ear) rhythm(t float64) detect.Rhythm {
	y := detect.Rhythm{T: t}
	n := len(e.told)
	if n == 0 {
		return y
	}
	y.State = detect.Walking
	recent, sure := 0, 0
	for i := n - 1; i >= 0 && (i == n-1 || e.told[i].T > t-cadenceS); i-- {
		recent++
		if e.told[i].Heard {
			sure++
		}
	}
	y.Heard = float64(sure) / float64(recent)
	y.Cadence, y.CadenceSD = detect.MeanCadence(e.told, (recent-1)&^1)
	y.Unevenness, y.Variability = unevenness(e.told), variability(e.told)
	return y
}

// unevenness is the symmetry index of the step times, right minus left, %.
func unevenness(steps []detect.Step) float64 {
	var sum [3]float64
	var num [3]int
	for i, s := range steps {
		if i > 0 && s.Heard && steps[i-1].Heard {
			sum[s.Side] += s.T - steps[i-1].T
			num[s.Side]++
		}
	}
	if min(num[detect.Left], num[detect.Right]) < feetLow {
		return 0
	}
	left, right := sum[detect.Left]/float64(num[detect.Left]), sum[detect.Right]/float64(num[detect.Right])
	return 100 * (right - left) / (0.5 * (right + left))
}

// variability is the coefficient of variation of the last 20 strides, %.
func variability(steps []detect.Step) float64 {
	var n, sum, squares float64
	for i := len(steps) - 1; i >= 2 && n < 20; i-- {
		if steps[i].Heard && steps[i-2].Heard {
			x := steps[i].T - steps[i-2].T
			n, sum, squares = n+1, sum+x, squares+x*x
		}
	}
	if n < 8 {
		return 0
	}
	return 100 * math.Sqrt(max(0, squares-sum*sum/n)/(n-1)) / (sum / n)
}
