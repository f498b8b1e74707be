package detect

import "math"

// The rhythm filter is a forward pass over a hidden semi-Markov model. Its
// states are (step period, unevenness); a step opens the interval to the next
// one, whose length is spread around period·(1±unevenness). The two feet take
// turns, so the sign of the unevenness turns over at each step and an uneven
// gait is two interlaced steps that keep their own place, not a smeared one.
// Beside the walking states there is one idle state.
//
// The idea of following tempo and phase together in one state space is that of
// F. Krebs, S. Böck, G. Widmer, "An efficient state-space model for joint tempo
// and meter tracking", ISMIR 2015. Here the phase is not walked through frame
// by frame: between steps the evidence says nothing (its likelihood ratio is 1),
// so the mass of an interval is put where it will arrive, once.
const (
	periodStep   = 0.015 // spacing of the periods, in log
	unevenStep   = 0.035
	unevenMost   = 4     // classes on each side, up to ±14 %
	stepJitter   = 0.017 // SD of an interval, share of the period
	wideJitter   = 0.045 // SD of the less regular ones
	wideShare    = 0.2   // and their share
	periodMove   = 0.16  // chance that the period moves one class, each way
	unevenMove   = 0.02  // the same for the unevenness
	jumpChance   = 0.003 // chance that a step opens an unrelated period
	stopChance   = 0.05  // chance that there is no next step
	startASecond = 0.08  // walks that begin in a second of idleness
	afterSoundS  = 0.115 // the forefoot lands up to this long after the heel
	afterLeastS  = 0.03  // and at least this long
	favourLog    = 0.1   // periods so near are about the same, in log
	memoryS      = 8     // how far back a walk can be traced when it is found
	cutFrame     = 1e-6  // a frame with less than this of all mass opens no intervals
	cutState     = 1e-5  // nor does a state with less than this of its frame's
)

type filter struct {
	rate    float64 // frames a second
	uneven  []float64
	periods []float64 // frames
	states  int

	lag    []int       // state → shortest interval, frames
	kernel [][]float64 // state → chances of the intervals from lag on
	prior  []float64   // state of a walk that begins

	t       int         // frame now
	future  [][]float64 // ring: mass arriving at a frame, by state before the step
	past    [][]float64 // ring: mass of a step at a frame, by state after it
	total   []float64   // ring: its sum
	idleAt  []float64   // ring: idle mass at that frame
	ratioAt []float64   // ring: likelihood ratio of that frame
	heardAt []bool      // ring: it holds a peak
	dueAt   []float64   // ring: probability of a step there if somebody walks, before the frame was heard
	after   int         // frames by which the arrival of a step's mass is put off

	walking, idle float64 // total mass
	start         float64 // chance of a start, a frame
	stop          float64 // chance that there is no next step
	pairs         *pairs  // second peaks after steps; nil where there are none
	scratch       []float64
}

func newFilter(t tuning) *filter {
	frameRate := t.frameRate
	f := &filter{rate: frameRate, start: startASecond / frameRate, stop: stopChance, idle: 1}
	slowest, fastest := t.slowest, t.fastest
	if slowest == 0 {
		slowest, fastest = 0.96*Slowest, 1.03*Fastest
	}
	for p := 60 / fastest; p <= 60/slowest; p *= math.Exp(periodStep) {
		f.periods = append(f.periods, p*frameRate)
	}
	for a := -unevenMost; a <= unevenMost; a++ {
		f.uneven = append(f.uneven, float64(a)*unevenStep)
	}
	f.states = len(f.periods) * len(f.uneven)
	longest := f.makeKernels(t.jitter)
	f.makePrior()
	f.after = int(afterSoundS * frameRate)
	if t.seconds {
		f.pairs = newPairs(frameRate, f.after)
	}
	f.future = rows(longest+f.after+2, f.states)
	keep := int(memoryS * frameRate)
	f.past = rows(keep, f.states)
	f.total = make([]float64, keep)
	f.idleAt = make([]float64, keep)
	f.ratioAt = make([]float64, keep)
	f.heardAt = make([]bool, keep)
	f.dueAt = make([]float64, keep)
	f.scratch = make([]float64, f.states)
	return f
}

func rows(n, width int) [][]float64 {
	all := make([]float64, n*width)
	r := make([][]float64, n)
	for i := range r {
		r[i], all = all[:width:width], all[width:]
	}
	return r
}

// sum adds up in four strands, as each addition waits for the one before.
func sum(x []float64) float64 {
	var a, b, c, d float64
	for len(x) >= 4 {
		a, b, c, d = a+x[0], b+x[1], c+x[2], d+x[3]
		x = x[4:]
	}
	for _, v := range x {
		a += v
	}
	return (a + b) + (c + d)
}

func (f *filter) makeKernels(jitter float64) (longest int) {
	f.lag = make([]int, f.states)
	f.kernel = make([][]float64, f.states)
	for s := range f.kernel {
		mean := f.interval(s)
		sd, wide := math.Hypot(stepJitter*mean, jitter), math.Hypot(wideJitter*mean, jitter)
		lo, hi := int(math.Ceil(mean-2.2*wide)), int(math.Floor(mean+2.2*wide))
		f.lag[s] = lo
		f.kernel[s] = make([]float64, 0, hi-lo+1)
		var sum float64
		for d := lo; d <= hi; d++ {
			z, zw := (float64(d)-mean)/sd, (float64(d)-mean)/wide
			k := (1-wideShare)/sd*math.Exp(-0.5*z*z) + wideShare/wide*math.Exp(-0.5*zw*zw)
			f.kernel[s] = append(f.kernel[s], k)
			sum += f.kernel[s][d-lo]
		}
		for i := range f.kernel[s] {
			f.kernel[s][i] /= sum
		}
		longest = max(longest, hi)
	}
	return longest
}

// interval is the expected time from the step that opened state s, in frames.
func (f *filter) interval(s int) float64 {
	return f.periods[s/len(f.uneven)] * (1 + f.uneven[s%len(f.uneven)])
}

func (f *filter) makePrior() {
	f.prior = make([]float64, f.states)
	var sum float64
	for s := range f.prior {
		f.prior[s] = math.Exp(-math.Abs(f.uneven[s%len(f.uneven)]) / 0.05)
		sum += f.prior[s]
	}
	for s := range f.prior {
		f.prior[s] /= sum
	}
}

// advance takes the likelihood ratio of the next frame; heard tells whether it
// holds a peak, since a walk only begins at one.
func (f *filter) advance(ratio float64, heard bool) {
	f.settleAfter()
	row := f.t % len(f.past)
	a := f.past[row]
	arriving := f.future[f.t%len(f.future)]
	in := sum(arriving)
	f.total[row], f.idleAt[row], f.ratioAt[row], f.heardAt[row] = 0, f.idle, ratio, heard
	f.dueAt[row] = in / math.Max(f.walking, 1e-12*f.idle)
	if in > cutFrame*(f.walking+f.idle) {
		f.move(a, arriving, in, ratio)
		stop := f.stop * in // the step that was due never comes
		f.idle += stop
		f.walking += (1-f.stop)*ratio*in - in
		f.total[row] = (1 - f.stop) * ratio * in
	} else {
		clear(a)
		f.walking -= in
	}
	clear(arriving)
	if heard {
		begin := f.idle * f.start * ratio
		for s, p := range f.prior {
			a[s] += begin * p
		}
		f.walking += begin
		f.total[row] += begin
		f.idle *= 1 - f.start
	}
	f.t++
	if f.t%256 == 0 {
		f.recount()
	}
}

// favour leaves to the steps of the last frame, of walks whose period is not about
// the given one, in frames, the share rival of their mass.
func (f *filter) favour(period, rival float64) {
	row := (f.t - 1) % len(f.past)
	if f.total[row] == 0 {
		return
	}
	a, nu := f.past[row], len(f.uneven)
	for i, p := range f.periods {
		d := math.Log(p/period) / favourLog
		keep := rival + (1-rival)*math.Exp(-0.5*d*d)
		for j := range a[i*nu : (i+1)*nu] {
			a[i*nu+j] *= keep
		}
	}
	left := sum(a)
	f.walking += left - f.total[row]
	f.total[row] = left
}

// move carries the arriving mass over a step: the other foot's turn, a little
// change of period and unevenness, now and then a jump.
func (f *filter) move(dst, in []float64, sum, ratio float64) {
	nu := len(f.uneven)
	np := len(f.periods)
	tmp := f.scratch
	for i := 0; i < np; i++ {
		lo, hi := max(0, i-1)*nu, min(np-1, i+1)*nu
		x := tmp[i*nu : (i+1)*nu]
		same, slower, quicker := in[i*nu:][:len(x)], in[lo:][:len(x)], in[hi:][:len(x)]
		for j := range x {
			x[j] = (1-2*periodMove)*same[j] + periodMove*(slower[j]+quicker[j])
		}
	}
	scale := ratio * (1 - f.stop)
	jump := jumpChance * sum * scale
	scale *= 1 - jumpChance
	for i := 0; i < np; i++ {
		x := tmp[i*nu : (i+1)*nu]
		y, prior := dst[i*nu:][:len(x)], f.prior[i*nu:][:len(x)]
		for j, m := range x {
			m = (1-2*unevenMove)*m + unevenMove*(x[max(0, j-1)]+x[min(len(x)-1, j+1)])
			k := len(x) - 1 - j // the other foot's turn
			y[k] = scale*m + jump*prior[k]
		}
	}
}

// settleAfter looks at the time after the step at frame t-after. A second sound
// there is expected, the forefoot's; so a rhythm that explains it weighs more
// than one that takes the forefoot for the step. Then the step's mass is put
// where the next step is due.
func (f *filter) settleAfter() {
	from := f.t - f.after
	if from < 0 {
		return
	}
	n := len(f.past)
	sum := f.total[from%n]
	if sum <= cutFrame*(f.walking+f.idle) {
		f.walking -= sum
		f.total[from%n] = 0
		return
	}
	gain := f.afterGain(from)
	f.walking += (gain - 1) * sum
	f.total[from%n] *= gain
	a := f.past[from%n]
	least := cutState * sum
	for s, m := range a {
		m *= gain
		a[s] = m
		if m < least {
			f.walking -= m
			continue
		}
		at := (from + f.lag[s]) % len(f.future)
		for _, h := range f.kernel[s] {
			f.future[at][s] += m * h
			if at++; at == len(f.future) {
				at = 0
			}
		}
	}
}

// afterGain is how much likelier what followed the frame from is, if a step fell
// on it, than otherwise. A step that was not heard has no second sound.
func (f *filter) afterGain(from int) float64 {
	p := f.pairs
	if p == nil || !f.heardAt[from%len(f.heardAt)] {
		return 1
	}
	var second float64
	for k := p.first; k < f.after; k++ {
		second += p.weight[k] * f.ratioAt[(from+k)%len(f.ratioAt)]
	}
	return 1 - p.chance + p.chance*second
}

// recount takes the walking mass from its parts again, so that rounding never
// adds up, and brings the masses back to the middle of the range.
func (f *filter) recount() {
	var w float64
	for _, r := range f.future {
		for _, m := range r {
			w += m
		}
	}
	for k := max(0, f.t-f.after); k < f.t; k++ {
		w += f.total[k%len(f.total)]
	}
	f.walking = w
	if all := f.walking + f.idle; all < 1e-60 || all > 1e60 {
		f.rescale(1 / all)
	}
}

func (f *filter) rescale(by float64) {
	for _, r := range f.future {
		for i := range r {
			r[i] *= by
		}
	}
	for k, r := range f.past {
		f.total[k] *= by
		f.idleAt[k] *= by
		for i := range r {
			r[i] *= by
		}
	}
	f.walking *= by
	f.idle *= by
}

// belief is the probability that somebody walks.
func (f *filter) belief() float64 { return f.walking / (f.walking + f.idle) }

// share is the probability that a step fell on frame t, given all evidence so far.
// It holds for recent frames only, before the mass of t has arrived anywhere.
func (f *filter) share(t int) float64 {
	return f.total[t%len(f.total)] / (f.walking + f.idle)
}

// due is the probability that a step fell within reach frames of frame t, if
// somebody walks, as it was expected before each of them was heard.
func (f *filter) due(t, reach int) float64 {
	var sum float64
	for k := max(0, t-reach); k <= t+reach; k++ {
		sum += f.dueAt[k%len(f.dueAt)]
	}
	return sum
}
