package detect

import "math"

const (
	seekHops   = 64    // delays that are looked for, 320 ms
	seekEvery  = 20    // hops between two looks
	seekLeast  = 4     // hops that must have been loud
	seekForget = 0.998 // of the memory, a hop
	seekBetter = 1.3   // a new delay must explain so much more than the old one
)

// leakSeek finds the delay from output to input: it correlates what was played
// with what is heard, for all delays, by their spectra.
type leakSeek struct {
	spec  *playedSpectra
	cross [][]complex128 // by delay in hops
	power []float64      // of what was played, by bin
	grow  float64        // weight of the next hop; the past is not touched
	loud  int            // loud hops
	since int            // hops since the last look
	at    int            // delay that was told last, in samples; -1: none
	heard []complex128
	pad   []float64
}

func newLeakSeek(low int) *leakSeek {
	sp := newPlayedSpectra(low, seekHops)
	s := &leakSeek{
		spec: sp, cross: make([][]complex128, seekHops), power: make([]float64, sp.bins), grow: 1, at: -1,
		heard: make([]complex128, sp.bins), pad: make([]float64, sp.size),
	}
	for i := range s.cross {
		s.cross[i] = make([]complex128, sp.bins)
	}
	return s
}

// next takes the hop that is heard. ok is true when a delay, in samples, explains
// better times as much as the one that was told last; strength is the power of
// the path there. When the path is settled, it is looked for with less effort.
func (s *leakSeek) next(hop []float64, settled bool, better float64) (delay int, strength float64, ok bool) {
	if (!settled || s.spec.head%4 == 0) && s.spec.sounds(0, seekHops) {
		s.correlate(hop)
	}
	s.since++
	if s.loud < seekLeast || s.since < seekEvery {
		return 0, 0, false
	}
	s.since = 0
	return s.look(better)
}

func (s *leakSeek) correlate(hop []float64) {
	copy(s.pad[s.spec.size-len(hop):], hop)
	s.spec.fft.coefficients(s.heard, s.pad)
	w := complex(s.grow, 0)
	for d, c := range s.cross {
		x := s.spec.at(d)
		for k, v := range x {
			c[k] += w * complex(real(v), -imag(v)) * s.heard[k]
		}
	}
	if x := s.spec.at(0); x != nil {
		for k, v := range x {
			s.power[k] += s.grow * (real(v)*real(v) + imag(v)*imag(v))
		}
		s.loud++
	}
	if s.grow /= seekForget; s.grow > 1e6 {
		s.shrink()
	}
}

// shrink brings the weights back to 1.
func (s *leakSeek) shrink() {
	by := 1 / s.grow
	for _, c := range s.cross {
		for k := range c {
			c[k] *= complex(by, 0)
		}
	}
	for k := range s.power {
		s.power[k] *= by
	}
	s.grow = 1
}

// look finds the delay that explains most.
func (s *leakSeek) look(better float64) (delay int, strength float64, ok bool) {
	var most float64
	for _, p := range s.power {
		most = max(most, p)
	}
	best, was, at := 0.0, 0.0, 0
	for d, c := range s.cross {
		var e float64
		for k, v := range c {
			e += (real(v)*real(v) + imag(v)*imag(v)) / (s.power[k] + 0.01*most)
		}
		if e > best {
			best, at = e, d
		}
		if s.at >= 0 && d == s.at/s.spec.low {
			was = e
		}
	}
	if best == 0 || best < better*was {
		return 0, 0, false
	}
	s.at = s.finely(at)
	return s.at, pathPower(s.cross[at], s.power, s.spec), true
}

// finely is the delay in samples near that of a hop: where the correlation of
// the samples is highest.
func (s *leakSeek) finely(at int) int {
	best, delay := 0.0, 0
	for d := max(0, at-1); d <= min(at+1, seekHops-1); d++ {
		copy(s.heard, s.cross[d])
		s.spec.fft.samples(s.pad, s.heard)
		for i, v := range s.pad[:s.spec.low] {
			if v = math.Abs(v); v > best {
				best, delay = v, d*s.spec.low+i
			}
		}
	}
	clear(s.pad)
	return delay
}
