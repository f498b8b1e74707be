package detect

const (
	pathHops  = 20   // length of the path, 100 ms
	againHops = 64   // what a new path learns from at once, 320 ms
	pathCopy  = 20   // hops after which the learning filter is used at the latest
	leftLeast = 3e-3 // of what is expected: no path is quite linear
)

// leakPath is the path from output to input, a filter cut into hops. One copy
// of it learns all the time. The one that is used is some hundred milliseconds
// older, so that what it expects is no echo of what is heard just now, and
// whether it is right can be judged.
type leakPath struct {
	spec   *playedSpectra
	hops   [][]float64 // the last ones that were heard, newest at head
	head   int
	ago    int // hops before now that are dealt with
	aimed  bool
	learn  pathLearner
	use    [][]complex128
	since  int  // hops since the last copy
	copies int  // how often it was copied
	busy   bool // the present sound finds the copy made

	sum         []complex128
	back        []float64
	left        []float64 // of the leak once the expected is gone: expected power of a sample, by bin
	direct      int       // delay it was aimed with, in samples
	playedPower float64   // of late
	heardPower  float64   // of it as it is expected
	leakTrust
}

func newLeakPath(low int) *leakPath {
	sp := newPlayedSpectra(low, pathHops+againHops)
	sp.keepPower()
	p := &leakPath{
		spec: sp, learn: newPathLearner(sp),
		sum: make([]complex128, sp.bins), back: make([]float64, sp.size), left: make([]float64, sp.bins),
	}
	for range pathHops {
		p.use = append(p.use, make([]complex128, sp.bins))
	}
	for range againHops {
		p.hops = append(p.hops, make([]float64, low))
	}
	return p
}

// aim starts anew with a path whose direct sound comes after a delay, in
// samples, with about that power.
func (p *leakPath) aim(past *playedPast, delay int, strength float64) {
	low := p.spec.low
	p.spec.aim(past, max(0, delay-low*3/2))
	p.aimed, p.direct = true, delay
	p.leakTrust = leakTrust{}
	p.playedPower, p.heardPower = 0, 0
	p.learn.forget()
	strength = max(strength, p.recent((delay-p.spec.delay)/low))
	// What is there already is learnt from twice, but counted once.
	for range 2 {
		p.learn.guess(delay-p.spec.delay, strength)
		for p.ago = againHops - 1; p.ago > 0; p.ago-- {
			if p.sounds() {
				p.learn.ask(p)
				p.study(p.hops[(p.head-p.ago+1+againHops)%againHops])
			}
		}
	}
	p.adopt()
}

// recent is the power of the path in its given part as the last hops alone show
// it, for a leak that has only begun.
func (p *leakPath) recent(part int) float64 {
	l := &p.learn
	cross, power := p.sum, l.open
	clear(cross)
	clear(power)
	for p.ago = againHops - 1; p.ago > 0; p.ago-- {
		x := p.at(part)
		if x == nil {
			continue
		}
		copy(l.pad[p.spec.size-p.spec.low:], p.hops[(p.head-p.ago+1+againHops)%againHops])
		l.spec.fft.coefficients(l.error, l.pad)
		for k, v := range x {
			cross[k] += complex(real(v), -imag(v)) * l.error[k]
			power[k] += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	return pathPower(cross, power, p.spec)
}

// pathPower is the mean power of the bins of a path, from the sums of its cross
// spectra and of its input. Only a hop of the output is in each transform.
func pathPower(cross []complex128, power []float64, sp *playedSpectra) float64 {
	var sum, total float64
	for k, v := range cross[:sp.used] {
		sum += real(v)*real(v) + imag(v)*imag(v)
		total += power[k] * power[k]
	}
	r := float64(sp.size) / float64(sp.low)
	return r * r * sum / max(total, quietest)
}

// at is the spectrum that part i of the path needs; nil: silence.
func (p *leakPath) at(i int) []complex128 { return p.spec.at(p.ago + i) }

// powerAt is the power that part i of the path learns from; nil: none.
func (p *leakPath) powerAt(i int) []float64 { return p.spec.powerAt(p.ago + i) }

func (p *leakPath) sounds() bool { return p.spec.sounds(p.ago, p.ago+pathHops) }

// adopt uses what was learnt.
func (p *leakPath) adopt() {
	p.since = 0
	p.copies++
	for i := range p.use {
		copy(p.use[i], p.learn.filter[i])
	}
}

// next puts what leaks into the newest hop into gone, and learns.
func (p *leakPath) next(gone, hop []float64) {
	clear(gone)
	clear(p.left)
	p.head = (p.head + 1) % againHops
	copy(p.hops[p.head], hop)
	if !p.aimed || !p.sounds() {
		p.busy = false
		return
	}
	if p.since++; p.since > pathCopy || !p.busy {
		p.busy = true
		p.adopt()
	}
	p.run(gone, p.use)
	for k, v := range p.sum {
		p.left[k] = leftLeast * (real(v)*real(v) + imag(v)*imag(v))
	}
	p.judge(gone, hop)
	p.weigh(gone)
	p.learn.ask(p)
	if !p.settled() || p.copies%3 == 0 { // both feet's clicks have their turn
		p.study(hop)
	}
	if !p.trusted {
		clear(gone)
		clear(p.left)
		return
	}
	by := min(1, p.match/p.size)
	for i := range gone {
		gone[i] *= by
	}
	for k, v := range p.learn.open {
		// The transform is longer than a hop.
		p.left[k] = (p.left[k] + v) / float64(p.spec.size)
	}
}

// rest passes over a hop that was not heard.
func (p *leakPath) rest() {
	clear(p.left)
	p.head = (p.head + 1) % againHops
	clear(p.hops[p.head])
	p.busy = false
}

// run puts what the filter gives for the hop dealt with into dst.
func (p *leakPath) run(dst []float64, filter [][]complex128) {
	clear(p.sum)
	for i, w := range filter {
		for k, v := range p.at(i) {
			p.sum[k] += v * w[k]
		}
	}
	p.spec.fft.samples(p.back, p.sum)
	by := 1 / float64(p.spec.size)
	for i, v := range p.back[p.spec.size-len(dst):] {
		dst[i] = by * v
	}
}

// weigh adds up what is played and what is expected of it.
func (p *leakPath) weigh(expected []float64) {
	const keep = 0.999
	p.playedPower *= keep
	p.heardPower *= keep
	if x := p.at(0); x != nil {
		for _, v := range x {
			p.playedPower += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	// A spectrum has half of the bins of size samples.
	for _, v := range expected {
		p.heardPower += v * v * float64(p.spec.size*p.spec.size) / float64(2*p.spec.low)
	}
}

// study learns from a hop.
func (p *leakPath) study(hop []float64) {
	rest := p.learn.pad[p.spec.size-len(hop):]
	p.run(rest, p.learn.filter)
	for i, v := range rest {
		rest[i] = hop[i] - v
	}
	p.learn.improve(p)
}
