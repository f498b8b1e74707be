package detect

import "math"

const (
	lagLeastS   = -0.15 // a step's bump comes so long after its contact
	lagMostS    = 0.30  // or up to so long, if the sensor is slow
	lagUsualS   = 0.065 // mostly; of made walks 60 to 70 ms at every place that was tried
	lagSpreadS  = 0.040 // with this SD from walker to walker and place to place
	lagAny      = 0.15  // share of sensors that may lie anywhere
	lagJitterS  = 0.020 // SD of a bump about a walker's own lag
	lagMatchS   = 0.010 // SD within which sound and bump agree, for finding the lag
	lagNone     = 0.4   // share of bumps that are no step, or of steps not heard
	lagTemper   = 0.75  // what the sound says of a lag counts less than it claims: its likelihoods are learned, and neighbours hang together
	lagMemory   = 40.0  // bumps
	tellsMemory = 15.0  // bumps
	lagDoubt    = 20.0  // odds that sound and sensor have nothing to do with each other
	lagCertain  = 12.0  // most log odds that are kept
	lagReach    = 1.5   // SD of where a step may lie, that are looked at for one
	lagPatience = 12.0  // bumps after which the sound should have told the lag
	lagTail     = 0.005 // of the lags beyond which none is waited for
	lagRing     = 256   // frames of sound, more than a second
)

// lags learns how long after a step's contact the sensor has its bump: that
// depends on where it is worn, and on how late its rows come. It is the
// probability of every lag, by Bayes' rule, from what the sound says of the frames
// before each bump, beside the possibility that the sound says nothing.
type lags struct {
	step   float64             // s between two lags: a frame of the sound
	prior  []float64           // of the lag, sum 1
	log    []float64           // log likelihood of each
	share  []float64           // what is believed now, sum 1
	match  []float64           // half of a bell of lagMatchS, sum over both halves 1
	bell   []float64           // half of a bell of lagJitterS, the same
	kernel []float64           // share spread by bell: where a step may lie from a bump, sum 1
	first  float64             // lag of kernel[0], s
	mean   float64             // of the lag, s
	reach  int                 // frames around it within which a step mostly lies
	most   float64             // longest lag that is to be reckoned with, s
	lost   float64             // probability that the sound says nothing of the lag
	tells  [len(tells)]float64 // log likelihood of each
	trust  float64             // share of steps of which the sound tells
	bumps  float64             // learned from, lately
	heard  [lagRing]float64
	n      int // frames heard
}

func newLags(step float64) *lags {
	l := &lags{step: step, match: bell(lagMatchS / step), bell: bell(lagJitterS / step)}
	count := int((lagMostS-lagLeastS)/step) + 1
	l.prior = make([]float64, count)
	l.log = make([]float64, count)
	l.share = make([]float64, count)
	l.kernel = make([]float64, count+2*(len(l.bell)-1))
	l.first = lagLeastS - step*float64(len(l.bell)-1)
	var sum float64
	for i := range l.prior {
		d := (lagLeastS + step*float64(i) - lagUsualS) / lagSpreadS
		l.prior[i] = math.Exp(-0.5 * d * d)
		sum += l.prior[i]
	}
	for i := range l.prior {
		l.prior[i] = (1-lagAny)*l.prior[i]/sum + lagAny/float64(count)
	}
	l.believe()
	l.believeTells()
	return l
}

// bell is the middle and one side of a normal curve of the given SD, whose both
// sides have the sum 1.
func bell(sd float64) []float64 {
	b := make([]float64, int(3*sd)+1)
	sum := 0.0
	for i := range b {
		b[i] = math.Exp(-0.5 * float64(i) * float64(i) / (sd * sd))
		sum += 2 * b[i]
	}
	sum -= b[0]
	for i := range b {
		b[i] /= sum
	}
	return b
}

// hear takes what the sound says of the next frame, as a likelihood ratio.
func (l *lags) hear(ratio float64) {
	l.heard[l.n%lagRing] = ratio
	l.n++
}

// learn takes in a bump that lay at frame at of the sound, which need not be
// whole; all frames that may be its step's have been heard.
func (l *lags) learn(at, weight float64) {
	forget := 1 - 1/lagMemory
	for i := range l.log {
		frame := int(math.Round(at - (lagLeastS/l.step + float64(i))))
		s := l.match[0] * l.ratio(frame)
		for k := 1; k < len(l.match); k++ {
			s += l.match[k] * (l.ratio(frame-k) + l.ratio(frame+k))
		}
		l.log[i] = math.Min(lagCertain, forget*l.log[i]+weight*lagTemper*math.Log(lagNone+(1-lagNone)*s))
	}
	l.confirm(at, weight)
	l.bumps = forget*l.bumps + weight
	l.believe()
}

// tells are the shares of the steps of which the sound may tell, and how likely
// each is before any bump.
var tells = [...]struct{ share, prior float64 }{{0.02, 0.1}, {0.3, 0.1}, {0.6, 0.2}, {0.95, 0.6}}

// confirm learns of what share of the steps the sound tells, by what it says of
// where each bump has its step.
func (l *lags) confirm(at, weight float64) {
	var s float64
	for i, p := range l.kernel {
		if p > 0 {
			s += p * l.ratio(int(math.Round(at-l.first/l.step-float64(i))))
		}
	}
	for i, h := range tells {
		l.tells[i] = (1-1/tellsMemory)*l.tells[i] + weight*math.Log(1-h.share+h.share*s)
	}
	l.believeTells()
}

func (l *lags) believeTells() {
	var sum, mean float64
	for i, h := range tells {
		p := h.prior * math.Exp(l.tells[i])
		sum, mean = sum+p, mean+p*h.share
	}
	l.trust = mean / sum
}

func (l *lags) ratio(frame int) float64 {
	if frame < 0 || frame >= l.n || frame < l.n-lagRing {
		return 1
	}
	return l.heard[frame%lagRing]
}

// believe finds the shares and what follows from them.
func (l *lags) believe() {
	var sum float64
	for i, p := range l.prior {
		l.share[i] = p * (lagDoubt + math.Exp(l.log[i]))
		sum += l.share[i]
	}
	l.mean, l.most = 0, lagLeastS
	rest, square := 1.0, 0.0
	for i := range l.share {
		l.share[i] /= sum
		lag := l.lag(i)
		l.mean += l.share[i] * lag
		square += l.share[i] * lag * lag
		if rest > lagTail {
			l.most = lag
		}
		rest -= l.share[i]
	}
	l.most += l.step * float64(len(l.bell)-1)
	l.lost = lagDoubt / sum
	narrow := l.lost * math.Min(1, l.bumps/lagPatience)
	l.spread(narrow)
	spread := math.Sqrt((1-narrow)*(square-l.mean*l.mean) + lagJitterS*lagJitterS)
	l.reach = int(lagReach * math.Min(spread, lagSpreadS) / l.step)
}

func (l *lags) lag(i int) float64 { return lagLeastS + l.step*float64(i) }

// spread makes the kernel. The lag is the same for all steps; so where the sound
// has had time to say which it is and has not, the mean will do, as it can be
// wrong only by a constant.
func (l *lags) spread(narrow float64) {
	clear(l.kernel)
	side := len(l.bell) - 1
	middle := int(math.Round((l.mean - lagLeastS) / l.step))
	for i, p := range l.share {
		p *= 1 - narrow
		if i == middle {
			p += narrow
		}
		for k := -side; k <= side; k++ {
			l.kernel[i+side+k] += p * l.bell[max(k, -k)]
		}
	}
}

// near is how probable, a second of lag, it is that a bump lies lag s after its
// step.
func (l *lags) near(lag float64) float64 {
	i := int(math.Round((lag - l.first) / l.step))
	if i < 0 || i >= len(l.kernel) {
		return 0
	}
	return l.kernel[i] / l.step
}
