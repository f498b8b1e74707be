package detect

import "math"

const (
	pairS        = 10.0 // memory of pairs
	pairPrior    = 6    // height of pairs that are taken to lie anywhere, before any is known
	peakPrior    = 10   // height of peaks without a pair, the same
	pairReach    = 2    // frames on each side that are the same distance
	contrastLow  = 0.05 // what chance alone makes of it
	contrastHigh = 0.10 // what a walker makes whose feet land in two sounds
	secondLeast  = 0.30 // chance of a second sound at the one
	secondMost   = 0.70 // and at the other
)

// pairs learns how far behind a peak of the evidence another one follows, up to
// the time in which the forefoot lands: on dirt or under a hard sole nearly every
// step has a second sound, often the louder one, at much the same distance.
// Steps cannot follow each other so soon, and what has nothing to do with the
// walker keeps no distance. So nothing needs to be known about which peaks are
// steps, and a rhythm that takes the second sounds for steps cannot learn itself.
type pairs struct {
	first  int       // least distance, frames
	count  []float64 // height of the pairs, by distance
	sum    float64   // of all pairs
	heard  float64   // height of all peaks
	keep   float64   // memory factor a frame
	weight []float64 // share of a distance among the second sounds; their sum is 1
	chance float64   // of a second sound
}

func newPairs(frameRate float64, most int) *pairs {
	p := &pairs{
		first: int(afterLeastS * frameRate), keep: math.Exp(-1 / (pairS * frameRate)),
		count: make([]float64, most), weight: make([]float64, most),
	}
	p.judge()
	return p
}

// next takes in the peak of frame t; peaks is the ring of all.
func (p *pairs) next(peaks []peak, t int) {
	for k := range p.count {
		p.count[k] *= p.keep
	}
	p.sum *= p.keep
	p.heard *= p.keep
	z := peaks[t%len(peaks)].z
	if z <= 0 {
		return
	}
	p.heard += z
	last := len(p.count) - 1
	for k := p.first; k <= min(last, t); k++ {
		both := math.Min(z, peaks[(t-k)%len(peaks)].z)
		p.count[k] += 0.5 * both
		p.count[max(p.first, k-1)] += 0.25 * both
		p.count[min(last, k+1)] += 0.25 * both
		p.sum += both
	}
	p.judge()
}

// judge finds how far pairs stand out at one distance.
func (p *pairs) judge() {
	lags := float64(len(p.count) - p.first)
	for k := p.first; k < len(p.count); k++ {
		p.weight[k] = (p.count[k] + pairPrior/lags) / (p.sum + pairPrior)
	}
	const width = 2*pairReach + 1
	var most float64
	for k := p.first; k+width <= len(p.count); k++ {
		var sum float64
		for _, c := range p.count[k : k+width] {
			sum += c
		}
		most = math.Max(most, sum)
	}
	contrast := (most - width/lags*p.sum) / (p.heard + peakPrior)
	x := math.Max(0, math.Min(1, (contrast-contrastLow)/(contrastHigh-contrastLow)))
	p.chance = secondLeast + (secondMost-secondLeast)*x
}
