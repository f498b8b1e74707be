package detect

import "math"

// playedAheadS is how far Played may run ahead of Feed, s.
const playedAheadS = 2.0

// Played tells the next samples of what is played while the walker is heard:
// mono, at the rate of the input and on its clock, full scale ±1 or any other
// constant scale. Sample i is the one that is handed to the output when sample i
// of the input is captured. Tell them no later than Feed takes the input of the
// same time, and no more than two seconds ahead; what comes later or earlier,
// or not at all, counts as silence.
//
// What leaks from the output into the input, 0 to 300 ms later, by a path and
// at a level that need not be known, is then found and taken out of the input
// before steps are looked for. Where nothing leaks, nothing changes. The first
// call takes the memory, the later ones allocate nothing.
func (s *Sound) Played(samples []float32) {
	if s.played == nil {
		s.played = newPlayed(s)
	}
	s.played.queue.tell(samples)
}

// Leak is what was found of what is played in what is heard.
type Leak struct {
	Delay float64 // from the output to the input, s
	Gain  float64 // power of what is heard of it against what is played, dB
}

// Leak tells what leaks, as far as it is known now; ok is false while nothing is
// found, and where nothing was played.
func (s *Sound) Leak() (l Leak, ok bool) {
	if s.played == nil || !s.played.path.trusted {
		return Leak{}, false
	}
	p := s.played.path
	low := float64(s.played.queue.low)
	return Leak{
		Delay: float64(p.direct) / low * float64(s.hop) / s.rate,
		Gain:  10 * math.Log10(p.heardPower/p.playedPower),
	}, true
}

// played takes what is played out of what is heard, hop by hop at the halved
// rate.
type played struct {
	queue playedQueue
	past  *playedPast
	seek  *leakSeek
	path  *leakPath
	gone  []float64 // what was taken out of the newest hop
	leak  leakPast
	veils *veil
}

func newPlayed(s *Sound) *played {
	q := newPlayedQueue(s)
	return &played{
		queue: q,
		past:  newPlayedPast(q.low, seekHops+pathHops+againHops+4),
		seek:  newLeakSeek(q.low),
		path:  newLeakPath(q.low),
		gone:  make([]float64, q.low),
		leak:  newLeakPast(s, q),
		veils: newVeil(s.bands, q.low),
	}
}

// remove takes the leak out of the next hop of the input, at the halved rate.
func (p *played) remove(hop []float64) {
	p.advance()
	p.path.next(p.gone, hop)
	if at, strength, ok := p.seek.next(hop, p.path.settled(), p.path.rival()); ok {
		p.path.aim(p.past, at, strength)
	}
	p.leak.add(p.gone)
	for i, v := range p.gone {
		hop[i] -= v
	}
}

// skip passes over a hop of the input that was lost.
func (p *played) skip() {
	p.advance()
	p.path.rest()
	clear(p.gone)
	p.leak.add(p.gone)
}

func (p *played) advance() {
	p.queue.next(p.past.room())
	p.seek.spec.next(p.past)
	p.path.spec.next(p.past)
}

// veil keeps what may be left of the leak out of the levels of the newest frame.
func (p *played) veil(b *bands) { p.veils.over(b.level, p.path.left) }

// clean takes the leak out of x, samples of the input from number from on.
func (p *played) clean(x []float32, from int64) { p.leak.takeFrom(x, from) }
