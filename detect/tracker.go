package detect

import (
	"cmp"
	"math"
)

const (
	lockBelief   = 0.985 // walking is believed from here on
	loseBelief   = 0.15  // and no longer below this
	lockSteps    = 5     // heard steps that a walk must show when it is found
	heardAtLock  = 0.7   // share of its steps that were heard
	stopLocked   = 0.12  // chance that a walk that is told has ended: noise makes peaks where its next steps are due
	bridgeMost   = 3     // steps in a row that were not heard: what lies before is another walk
	blindS       = 1.5   // so long after the last step nobody walks who cannot be heard
	sureShare    = 0.7   // a step this sure is reported at once
	likelyShare  = 0.55  // where tuning names no other, a step this sure is reported after patienceS
	patienceS    = 0.045 // for what follows to say which of two peaks it is
	learnDelayS  = 0.12  // the belief about a frame is taken this much later
	dueReach     = 5     // frames, where tuning names no reach: 50 ms of motion
	dueLeast     = 0.3   // and no due: twice what an unknown rhythm puts in that reach
	shortestStep = 0.75  // of the running period, between two steps
)

// placed is a step on the frame grid.
type placed struct {
	frame      int
	offset     float64 // frames
	confidence float64
	heard      bool
	felt       bool // by a sensor beside the sound
	begins     bool // the walk was found anew, and this is its first step
}

// tracker runs peak picker, likelihood and filter over a stream of evidence,
// and decides when a step is certain enough to be told.
type tracker struct {
	picker  peakPicker
	like    *likelihood
	filter  *filter
	peaks   []peak  // ring, as long as the filter's memory
	touched []touch // ring of what was felt beside; nil: nothing is
	alone   float64 // likelihood ratio of the last frame by its evidence alone

	least  float64 // height of a peak
	locked bool
	failed int     // frame at which no chain of steps ended, when one was last looked for
	told   bool    // a step was ever told
	last   int     // frame of the last one
	period float64 // frames, running
	feet   feet    // heights of the steps that are followed
	chain  []link  // scratch of trace
	out    []placed

	learnDelay, patience int
	reach                int // of tuning
	due, likely          float64
}

// tuning is what sets one kind of input apart from another.
type tuning struct {
	frameRate float64 // frames a second
	others    float64 // peaks that are no steps, a second, before any is known
	jitter    float64 // SD of an interval from the frame grid and the ear, frames
	height    float64 // mean of the log heights of such peaks in steady noise
	spread    float64 // their SD; 0: both as motion has them
	least     float64 // a lower peak is none
	slowest   float64 // cadences that are followed, steps/min; 0: a little more than
	fastest   float64 // from Slowest to Fastest
	early     float64 // share of the guess of steps' heights for a walk that is part of what was learned as others
	reach     int     // frames around a step that may hold its sound; 0: dueReach
	likely    float64 // a step this sure is reported after patienceS; 0: likelyShare
	due       float64 // where a step is less expected, what is heard is something else; 0: dueLeast
	seconds   bool    // a step may make a second peak, the forefoot's
}

func newTracker(t tuning) *tracker {
	f := newFilter(t)
	frameRate := t.frameRate
	return &tracker{
		like: newLikelihood(t), filter: f,
		peaks:      make([]peak, len(f.past)),
		least:      t.least,
		chain:      make([]link, 0, 64),
		out:        make([]placed, 0, 64),
		learnDelay: int(learnDelayS * frameRate),
		patience:   int(patienceS * frameRate),
		reach:      cmp.Or(t.reach, dueReach),
		due:        cmp.Or(t.due, dueLeast),
		likely:     cmp.Or(t.likely, likelyShare),
	}
}

// next takes the evidence of one frame and returns the steps that became
// certain with it, in order; the slice is valid until the next call. With hears
// false the frame was lost and says nothing either way.
func (k *tracker) next(e float64, hears bool) []placed {
	return k.both(e, hears, untouched)
}

// both is next with what a sensor says of the frame.
func (k *tracker) both(e float64, hears bool, by touch) []placed {
	p := k.picker.next(e)
	if p.z < k.least {
		p = peak{}
	}
	p.lost = !hears
	f := k.filter
	now := f.t
	k.peaks[now%len(k.peaks)] = p
	if f.pairs != nil {
		f.pairs.next(k.peaks, now)
		f.stop = stopChance
		if k.locked {
			f.stop = stopLocked
		}
	}
	ratio := 1.0
	if hears {
		ratio = k.like.ratio(p)
	}
	k.alone = ratio
	if k.touched != nil {
		k.touched[now%len(k.touched)] = by
		ratio = 1 - by.trust + by.trust*ratio
	}
	f.advance(ratio*by.ratio, p.z > 0 || by.peak)
	if by.rival < 1 {
		f.favour(by.every*f.rate, by.rival)
	}
	k.learn(now - k.learnDelay)
	k.out = k.out[:0]
	switch {
	case !k.locked && f.belief() > lockBelief:
		k.lock(now)
	case k.locked && f.belief() < loseBelief:
		k.locked = false
	case k.locked:
		k.follow(now)
	}
	return k.out
}

// state says what is going on; blind tells that the input has nothing in it.
func (k *tracker) state(blind bool) State {
	f := k.filter
	switch {
	case blind && (!k.locked || float64(f.t-k.last) > blindS*f.rate):
		return CannotHear
	case k.locked:
		return Walking
	}
	return NotWalking
}

func (k *tracker) learn(t int) {
	if t < 0 {
		return
	}
	p := k.peaks[t%len(k.peaks)]
	if p.lost {
		return
	}
	if k.filter.due(t, k.reach) < k.due {
		k.like.learnOther(p)
	}
	k.like.learnStep(p, math.Min(1, k.filter.share(t)))
}

// best finds the most likely heard step of the frames from..now.
func (k *tracker) best(from, now int) (int, float64) {
	if k.touched != nil {
		return k.bestOfBoth(from, now)
	}
	at, share := -1, 0.0
	for t := max(from, 0); t <= now; t++ {
		if k.peaks[t%len(k.peaks)].z <= 0 {
			continue
		}
		if s := k.filter.share(t); s > share {
			at, share = t, s
		}
	}
	return at, share
}

// bestOfBoth is best where a step may be felt too. What is felt does not tell the
// frame, so the shares around one count together, once they are all there; a peak
// that is sure alone need not wait for that.
func (k *tracker) bestOfBoth(from, now int) (at int, share float64) {
	at = -1
	from = max(from, 0)
	for t := from; t <= now; t++ {
		alone, around := k.filter.share(t), 0.0
		switch reach := k.touched[t%len(k.touched)].reach; {
		case k.heard(t) && alone >= sureShare:
			around = alone
		case t+reach > now || !k.heard(t) && !k.touched[t%len(k.touched)].peak:
			continue
		default:
			for i := max(from, t-reach); i <= t+reach; i++ {
				around += k.filter.share(i)
			}
		}
		if around > share {
			at, share = t, around
		}
	}
	if at < 0 {
		return at, share
	}
	reach, top := k.touched[at%len(k.touched)].reach, at
	for i := max(from, at-reach); i <= min(now, at+reach); i++ {
		if k.filter.share(i) > k.filter.share(top) {
			top = i
		}
	}
	return top, share
}

// heard tells whether evidence at a frame is that of a step, and felt whether a
// sensor says so.
func (k *tracker) heard(frame int) bool { return k.peaks[frame%len(k.peaks)].z > 0 }

func (k *tracker) felt(frame int) bool {
	return k.touched != nil && k.touched[frame%len(k.touched)].ratio >= feltLeast
}

// lock looks whether the belief rests on a chain of heard steps, and if so
// tells them all.
func (k *tracker) lock(now int) {
	at, share := k.best(now-k.learnDelay, now)
	if at < 0 || share < 0.5 || at == k.failed {
		return
	}
	k.failed = at // until a chain is found; the trace is dear, and the next peak is near
	limit := max(0, at-len(k.peaks)+k.filter.after+2)
	if k.told {
		limit = max(limit, k.last+int(shortestStep*k.period))
	}
	if at <= limit {
		return
	}
	k.chain = k.filter.trace(k.chain[:0], at, limit)
	heard := k.prune()
	if heard < lockSteps || float64(heard) < heardAtLock*float64(len(k.chain)) {
		return
	}
	k.locked = true
	k.compareFeet()
	if k.tell(k.chain); len(k.out) > 0 {
		k.out[0].begins = true
	}
}

// compareFeet looks at the feet of a walk that was found, before it is told.
func (k *tracker) compareFeet() {
	k.feet = feet{}
	for i := len(k.chain) - 1; i >= 0; i-- {
		k.turn(k.chain[i])
	}
	k.feet.again()
}

// turn takes in whose turn a step was.
func (k *tracker) turn(l link) {
	k.feet.next(l.frame, k.filter.periods[l.state/len(k.filter.uneven)], k.peaks[l.frame%len(k.peaks)].z)
}

// prune cuts the chain before a hole of bridgeMost steps and starts it with a
// heard one. It returns how many of the steps that are left were heard.
func (k *tracker) prune() (heard int) {
	missing, end := 0, 0
	for i, l := range k.chain {
		if k.heard(l.frame) || k.felt(l.frame) {
			heard, missing, end = heard+1, 0, i+1
		} else if missing++; missing == bridgeMost {
			break
		}
	}
	k.chain = k.chain[:end]
	return heard
}

func (k *tracker) follow(now int) {
	from := k.last + int(shortestStep*k.period)
	at, share := k.best(from, now)
	if at < 0 || share < k.likely {
		return
	}
	if share < sureShare && now-at < k.patience {
		return
	}
	k.chain = k.filter.trace(k.chain[:0], at, k.last+int(0.5*k.period))
	k.chain[0].share = share
	k.tell(k.chain)
}

// tell reports the steps of a chain, which is in backward order.
func (k *tracker) tell(chain []link) {
	k.period = k.filter.periods[chain[0].state/len(k.filter.uneven)]
	for i := len(chain) - 1; i >= 0; i-- {
		l := chain[i]
		p := k.peaks[l.frame%len(k.peaks)]
		s := placed{frame: l.frame, offset: p.offset, confidence: math.Min(1, l.share), heard: p.z > 0, felt: k.felt(l.frame)}
		k.like.tookStep(s.heard)
		if k.turn(l); s.felt || !k.single() || !k.feet.none() {
			k.out = append(k.out, s)
		}
	}
	k.last, k.told = chain[0].frame, true
}

// single tells whether only every other step that is followed is one.
func (k *tracker) single() bool {
	return k.filter.pairs != nil && k.feet.single() && 2*k.period < k.filter.periods[len(k.filter.periods)-1]
}

// step is the time of a step, frames.
func (k *tracker) step() float64 {
	if k.single() {
		return 2 * k.period
	}
	return k.period
}
