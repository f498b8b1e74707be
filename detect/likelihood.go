package detect

import "math"

const (
	heightLow    = -0.7 // log of the lowest height told apart
	heightHigh   = 2.3
	heightBins   = 50
	rankShape    = 0.2 // of the heights of steps among all peaks, before any is known
	rankWeight   = 20  // what that guess is worth, in steps
	outlierShare = 0.04
	heardLeast   = 0.5
	heardMost    = 0.95
)

// likelihood says how much more likely a frame's evidence is if a step falls
// on it than if none does. It learns the heights of both kinds of peak as the
// walk goes on: what the filter took for steps teaches the one, all else the
// other.
//
// Over frames without a step the ratio has mean 1, so the filter's total mass
// compares walking with not walking without a threshold on loudness.
type likelihood struct {
	step, other heights
	tail        [heightBins]float64 // share of other peaks at least this high
	rate        float64             // peaks that are no steps, a frame
	heard       float64             // probability that a step makes a peak
	rateKeep    float64
}

// heights is a running histogram of log heights.
type heights struct {
	count  [heightBins]float64
	total  float64
	memory float64 // most observations remembered
}

func bin(z float64) int {
	i := int((math.Log(z) - heightLow) / (heightHigh - heightLow) * heightBins)
	return min(heightBins-1, max(0, i))
}

// learn adds an observation of weight w, spread over the neighbouring bins.
func (h *heights) learn(i int, w float64) {
	if w <= 0 {
		return
	}
	if h.total+w > h.memory {
		f := (h.memory - w) / h.total
		for k := range h.count {
			h.count[k] *= f
		}
		h.total *= f
	}
	for d := -2; d <= 2; d++ {
		h.count[min(heightBins-1, max(0, i+d))] += w * float64(3-max(d, -d)) / 9
	}
	h.total += w
}

func newLikelihood(t tuning) *likelihood {
	l := &likelihood{
		step:     heights{memory: 40},
		other:    heights{memory: 250},
		rate:     t.others / t.frameRate,
		heard:    0.85,
		rateKeep: math.Exp(-1 / (10 * t.frameRate)),
	}
	// Before anything is known, other peaks are those of steady noise.
	for i := range heightBins {
		x := heightLow + (float64(i)+0.5)*(heightHigh-heightLow)/heightBins
		d := (x - math.Log(1.5)) / 0.25
		l.other.learn(i, 10*math.Exp(-0.5*d*d))
	}
	l.retail()
	return l
}

// retail takes the tail of the other peaks again.
func (l *likelihood) retail() {
	var sum float64
	for i := heightBins - 1; i >= 0; i-- {
		l.tail[i] = (sum + 0.5*l.other.count[i] + 0.3) / (l.other.total + 0.6)
		sum += l.other.count[i]
	}
}

// ratio is p(evidence | step here) / p(evidence | no step here).
func (l *likelihood) ratio(p peak) float64 {
	// Two peaks are at least peakReach frames apart, so where one may come it
	// comes more often than its rate says.
	hazard := l.rate / math.Max(0.3, 1-peakReach*l.rate)
	if p.z <= 0 {
		return (1 - l.heard) / (1 - hazard)
	}
	i := bin(p.z)
	broad := outlierShare / heightBins
	f0 := (1-outlierShare)*l.other.count[i]/l.other.total + broad
	// A step is likely among the highest peaks: the rank of its height among the
	// others has density rankShape·u^(rankShape-1). Steps already known add to it.
	guess := rankShape * math.Pow(l.tail[i], rankShape-1) * f0
	f1 := (rankWeight*guess + l.step.count[i]) / (rankWeight + l.step.total)
	f1 = (1-outlierShare)*f1 + broad
	return l.heard / hazard * f1 / f0
}

// learn takes the peak of a frame and the belief that it was a step.
func (l *likelihood) learn(p peak, belief float64) {
	var other float64
	if p.z > 0 {
		i := bin(p.z)
		l.step.learn(i, belief)
		l.other.learn(i, 1-belief)
		l.retail()
		other = 1 - belief
	}
	l.rate = l.rateKeep*l.rate + (1-l.rateKeep)*other
	l.rate = math.Max(l.rate, 0.01)
}

// tookStep updates how often steps are heard.
func (l *likelihood) tookStep(heard bool) {
	x := heardMost
	if !heard {
		x = 0
	}
	l.heard = math.Min(heardMost, math.Max(heardLeast, l.heard+0.04*(x-l.heard)))
}
