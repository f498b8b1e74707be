package detect

import "math"

const (
	lagLeastS   = -0.15 // a step's bump comes so long after its contact
	lagMostS    = 0.30  // or up to so long, if the sensor is slow
	lagUsualS   = 0.065 // mostly; of made walks 60 to 70 ms at every place that was tried
	lagSpreadS  = 0.040 // with this SD from walker to walker and place to place
	lagAny      = 0.15  // share of sensors that may lie anywhere
	lagJitterS  = 0.020 // SD of a bump about a walker's own lag
	lagMatchS   = 0.010 // SD within which sound and bump agree, on hard ground
	lagSwellS   = 0.030 // and on soft one
	lagTemper   = 0.5   // what the sound says counts less than it claims: its likelihoods are learned, and neighbours hang together
	lagMemory   = 40.0  // bumps
	lagCertain  = 12.0  // log odds that are kept
	lagPatience = 12.0  // bumps in which the sound tells the lag, if it does
	lagReach    = 1.5   // SD of where a step may lie, that are looked at for one
	lagTail     = 0.005 // of the lags beyond which none is waited for
	lagUsualFor = 5.0   // s, memory of what the sound says on the whole: no more than 1, by rights
	lagNear     = 5     // frames on each side that are about the same lag
	lagLeap     = 5.0   // times as likely another lag must be
	lagRing     = 256   // frames of sound, more than a second
)

// tells are what the sound may be worth: of which share of the steps it tells, by
// how much its times scatter (SD, s), and how likely that is before any bump. By
// the first, it says nothing. Soft ground swells under a foot, and what is heard
// of it is somewhere in the swelling.
var tells = [...]struct{ share, scatter, prior float64 }{
	{0.02, lagMatchS, 0.1},
	{0.3, lagMatchS, 0.1}, {0.6, lagMatchS, 0.2}, {0.95, lagMatchS, 0.5},
	{0.6, lagSwellS, 0.05}, {0.95, lagSwellS, 0.05},
}

// lags learns how long after a step's contact the sensor has its bump, and of
// what share of the steps the sound tells. The lag depends on where the sensor is
// worn, and on how late its rows come. Both are found together, by Bayes' rule,
// from what the sound says of the frames before each bump.
type lags struct {
	step   float64               // s between two lags: a frame of the sound
	prior  []float64             // of the lag, sum 1
	log    [len(tells)][]float64 // log likelihood of each share and lag
	share  []float64             // what is believed of the lag now, sum 1
	match  [2][]float64          // halves of bells of lagMatchS and lagSwellS, sum over both halves 1
	bell   []float64             // half of a bell of lagJitterS, the same
	kernel []float64             // share spread by bell: where a step may lie from a bump, sum 1
	first  float64               // lag of kernel[0], s
	best   int                   // the lag that is reckoned with, by its place
	reach  int                   // frames around it within which a step mostly lies
	most   float64               // longest lag that is to be reckoned with, s
	known  float64               // how far the lag is known, 0 to 1
	trust  float64               // share of steps of which the sound tells
	bumps  float64               // learned from, lately
	heard  [lagRing]float64      // ring: what the sound says
	usual  float64               // running mean of it
	n      int                   // frames heard
}

func newLags(step float64) *lags {
	l := &lags{step: step, match: [2][]float64{bell(lagMatchS / step), bell(lagSwellS / step)}, bell: bell(lagJitterS / step)}
	count := int((lagMostS-lagLeastS)/step) + 1
	l.prior = make([]float64, count)
	l.share = make([]float64, count)
	for i := range l.log {
		l.log[i] = make([]float64, count)
	}
	l.kernel = make([]float64, count+2*(len(l.bell)-1))
	l.first = lagLeastS - step*float64(len(l.bell)-1)
	var sum float64
	for i := range l.prior {
		d := (l.lag(i) - lagUsualS) / lagSpreadS
		l.prior[i] = math.Exp(-0.5 * d * d)
		sum += l.prior[i]
	}
	for i := range l.prior {
		l.prior[i] = (1-lagAny)*l.prior[i]/sum + lagAny/float64(count)
	}
	l.best = int((lagUsualS - lagLeastS) / step)
	l.believe()
	return l
}

func (l *lags) lag(i int) float64 { return lagLeastS + l.step*float64(i) }

// bell is the middle and one side of a normal curve of the given SD, whose both
// sides have the sum 1.
func bell(sd float64) []float64 {
	b := make([]float64, int(3*sd)+1)
	var sum float64
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
	l.usual += (ratio - l.usual) * l.step / lagUsualFor
	l.heard[l.n%lagRing] = ratio / math.Max(1, l.usual)
	l.n++
}

// learn takes in a bump of the given weight that lay at frame at of the sound,
// which need not be whole; all frames that may be its step's have been heard.
func (l *lags) learn(at, weight float64) {
	forget := 1 - 1/lagMemory
	most := math.Inf(-1)
	for i := range l.prior {
		frame := int(math.Round(at - l.lag(i)/l.step))
		sharp, swell := l.around(frame, l.match[0]), l.around(frame, l.match[1])
		for h, t := range tells {
			s := sharp
			if t.scatter == lagSwellS {
				s = swell
			}
			l.log[h][i] = forget*l.log[h][i] + weight*lagTemper*math.Log(1-t.share+t.share*s)
			most = math.Max(most, l.log[h][i])
		}
	}
	for h := range l.log { // what is all but ruled out may come back
		for i := range l.log[h] {
			l.log[h][i] = math.Max(l.log[h][i]-most, -lagCertain)
		}
	}
	l.bumps = forget*l.bumps + weight
	l.believe()
}

// around is what the sound says of a step near a frame.
func (l *lags) around(frame int, bell []float64) float64 {
	s := bell[0] * l.ratio(frame)
	for k := 1; k < len(bell); k++ {
		s += bell[k] * (l.ratio(frame-k) + l.ratio(frame+k))
	}
	return s
}

func (l *lags) ratio(frame int) float64 {
	if frame < 0 || frame >= l.n || frame < l.n-lagRing {
		return 1
	}
	return l.heard[frame%lagRing]
}

// believe finds what is believed, and what follows from it.
func (l *lags) believe() {
	var all, told float64
	clear(l.share)
	for h, t := range tells {
		var sum float64
		for i, p := range l.prior {
			p *= t.prior * math.Exp(l.log[h][i])
			l.share[i] += p
			sum += p
		}
		all += sum
		told += sum * t.share
	}
	l.trust = told / all
	l.most = lagLeastS
	rest, mean, square := 1.0, 0.0, 0.0
	for i := range l.share {
		l.share[i] /= all
		mean += l.share[i] * l.lag(i)
		square += l.share[i] * l.lag(i) * l.lag(i)
		if rest > lagTail {
			l.most = l.lag(i)
		}
		rest -= l.share[i]
	}
	l.most += l.step * float64(len(l.bell)-1)
	near := l.choose()
	narrow := math.Min(1, l.bumps/lagPatience)
	l.spread(narrow)
	l.known = math.Max(narrow, math.Max(0, math.Min(1, (near-0.5)/0.4)))
	spread := math.Sqrt((1-narrow)*(square-mean*mean) + lagJitterS*lagJitterS)
	l.reach = int(lagReach * math.Min(spread, lagSpreadS) / l.step)
}

// choose finds the best lag, and the probability that it is about right. It leaps
// to another one only where that is much likelier, for with it all steps leap.
func (l *lags) choose() float64 {
	best, most := l.best, lagLeap*l.about(l.best)
	for i := range l.share {
		if p := l.about(i); p > most {
			best, most = i, p
		}
	}
	for i := max(0, best-lagNear); i <= min(len(l.share)-1, best+lagNear); i++ {
		if l.share[i] > l.share[best] {
			best = i
		}
	}
	l.best = best
	return l.about(best)
}

// about is the probability that the lag is within lagNear frames of the i-th.
func (l *lags) about(i int) (sum float64) {
	for _, p := range l.share[max(0, i-lagNear):min(len(l.share), i+lagNear+1)] {
		sum += p
	}
	return sum
}

// spread makes the kernel. The lag is the same for all steps; so when the sound has
// had time to say which it is, the best one will do, as it can be wrong only by a
// constant.
func (l *lags) spread(narrow float64) {
	clear(l.kernel)
	side := len(l.bell) - 1
	for i, p := range l.share {
		p *= 1 - narrow
		if i == l.best {
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
