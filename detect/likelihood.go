package detect

import "math"

const (
	heightLow    = -2.5 // log of the lowest height told apart
	heightHigh   = 2.3
	heightBins   = 80
	rankShape    = 0.2  // s in guess: half of them are higher than 97 % of the others
	rankPower    = 5    // n in guess: steps are up to about a sixth of all peaks
	rankWeight   = 8    // what the guess is worth, in steps
	stepMemory   = 40   // steps whose heights count
	otherMemory  = 250  // other peaks whose heights count, some 20 s
	outlierShare = 0.04 // of heights that follow no histogram
	heardFirst   = 0.85 // chance that a step makes a peak, before any is known
	heardLeast   = 0.5  // and its bounds: some steps are always missed
	heardMost    = 0.95
	leastRate    = 0.01 // other peaks a frame; two a second may always come
	priorPeaks   = 20   // what is assumed of the other peaks is worth so many, 2 s
	anyShare     = 0.25 // of them may be of any height: wind and voices are not steady
	rateS        = 10.0 // memory of the rate of other peaks
	rateFirstS   = 2.0  // what is assumed of it is worth so much
)

// likelihood says how much more likely a frame's evidence is if a step falls
// on it than if none does. It learns the heights of both kinds of peak as the
// walk goes on: what the filter took for steps teaches the one, what came where
// no step was expected the other.
//
// Over frames without a step the ratio has mean 1, so the filter's total mass
// compares walking with not walking without a threshold on loudness.
type likelihood struct {
	step, other        heights
	guessed            [heightBins]float64 // heights of steps, before any is known
	rate               float64             // peaks that are no steps, a frame
	heard              float64             // probability that a step makes a peak
	frames, framesMost float64
	early              float64 // of tuning
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
	if t.spread == 0 { // motion: the sway's bumps in steady noise
		t.height, t.spread = math.Log(1.5), 0.25
	}
	l := &likelihood{
		step:   heights{memory: stepMemory},
		other:  heights{memory: otherMemory},
		rate:   t.others / t.frameRate,
		heard:  heardFirst,
		early:  t.early,
		frames: rateFirstS * t.frameRate, framesMost: rateS * t.frameRate,
	}
	// Before anything is known, other peaks may be those of steady noise, or may
	// be of any height.
	var steady [heightBins]float64
	var sum float64
	for i := range steady {
		x := heightLow + (float64(i)+0.5)*(heightHigh-heightLow)/heightBins
		d := (x - t.height) / t.spread
		steady[i] = math.Exp(-0.5 * d * d)
		sum += steady[i]
	}
	for i, w := range steady {
		l.other.learn(i, priorPeaks*((1-anyShare)*w/sum+anyShare/heightBins))
	}
	l.guess()
	return l
}

// guess again what the heights of steps are. A step is likely among the highest
// peaks: the rank of its height among the others, the share of them that are at
// least as high, is near 0. One part of the guess is for steps that stand out,
// with density s·rank^(s-1); the other, of share early, for a walk whose own
// first steps are among what was learned from, with density (1+n)·(1-rank)^n.
func (l *likelihood) guess() {
	var above, sum float64
	for i := heightBins - 1; i >= 0; i-- {
		n := l.other.count[i]
		rank := (above + 0.5*n + 0.3) / (l.other.total + 0.6)
		above += n
		shape := (1-l.early)*rankShape*math.Pow(rank, rankShape-1) +
			l.early*(1+rankPower)*math.Pow(1-rank, rankPower)
		l.guessed[i] = shape * (n + 0.3/heightBins)
		sum += l.guessed[i]
	}
	for i := range l.guessed {
		l.guessed[i] /= sum
	}
}

// ratio is p(evidence | step here) / p(evidence | no step here).
func (l *likelihood) ratio(p peak) float64 {
	hazard := math.Max(leastRate, l.rate)
	if p.z <= 0 {
		return (1 - l.heard) / (1 - hazard)
	}
	i := bin(p.z)
	broad := outlierShare / heightBins
	f0 := (1-outlierShare)*l.other.count[i]/l.other.total + broad
	f1 := (rankWeight*l.guessed[i] + l.step.count[i]) / (rankWeight + l.step.total)
	f1 = (1-outlierShare)*f1 + broad
	return l.heard / hazard * f1 / f0
}

// learnStep takes the peak of a frame and the belief that it was a step.
func (l *likelihood) learnStep(p peak, belief float64) {
	if p.z > 0 {
		l.step.learn(bin(p.z), belief)
	}
}

// learnOther takes the peak of a frame at which no step was expected. That it
// was not expected, rather than that it was not taken for one, makes it a fair
// sample: a rhythm that was only imagined picks the highest peaks for its steps,
// and without them in the other histogram it would go on believing in itself.
func (l *likelihood) learnOther(p peak) {
	var other float64
	if p.z > 0 {
		l.other.learn(bin(p.z), 1)
		l.guess()
		other = 1
	}
	l.frames = math.Min(l.frames+1, l.framesMost)
	l.rate += (other - l.rate) / l.frames
}

// tookStep updates how often steps are heard.
func (l *likelihood) tookStep(heard bool) {
	x := heardMost
	if !heard {
		x = 0
	}
	l.heard = math.Min(heardMost, math.Max(heardLeast, l.heard+0.04*(x-l.heard)))
}
