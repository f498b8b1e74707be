package detect

import "math"

const playedQuiet = 1e-8 // power below the recent peak that is taken as silence

// playedPast is what was played of late, at the halved rate.
type playedPast struct {
	low  int       // samples of a hop
	keep int       // samples that are kept at least
	buf  []float64 // the newest last
	n    int
}

func newPlayedPast(low, hops int) *playedPast {
	keep := hops * low
	return &playedPast{low: low, keep: keep, buf: make([]float64, 2*keep), n: keep}
}

// room makes room for the next hop, which the caller fills.
func (p *playedPast) room() []float64 {
	if p.n+p.low > len(p.buf) {
		p.n = copy(p.buf, p.buf[p.n-p.keep:p.n])
	}
	p.n += p.low
	return p.buf[p.n-p.low : p.n]
}

// playedSpectra keeps spectra of what was played some samples ago, hop by hop,
// each over the last size samples: what a filter of one hop needs to give the
// newest hop (overlap-save).
type playedSpectra struct {
	fft   *spectrum
	size  int // samples of a transform, a power of two of at least two hops
	bins  int
	used  int            // bins that are looked at: those that say something about steps
	low   int            // samples of a hop
	delay int            // samples
	ring  [][]complex128 // newest at head
	loud  []bool         // whether there is anything in it
	power [][]float64    // of each bin without what others spill into it; nil: not kept
	head  int
	peak  float64 // recent power
}

func newPlayedSpectra(low, hops int) *playedSpectra {
	size := 1
	for size < 2*low {
		size *= 2
	}
	s := &playedSpectra{
		fft: newSpectrum(size), size: size, bins: size/2 + 1, low: low,
		ring: make([][]complex128, hops), loud: make([]bool, hops),
	}
	s.used = min(s.bins, int(math.Ceil(highestHz*hopSeconds*float64(size)/float64(low)))+1)
	for i := range s.ring {
		s.ring[i] = make([]complex128, s.bins)
	}
	return s
}

// next takes the newest hop.
func (s *playedSpectra) next(p *playedPast) { s.take(p, 0) }

// take takes the hop that came ago hops before the newest.
func (s *playedSpectra) take(p *playedPast, ago int) {
	end := p.n - s.delay - ago*s.low
	x := p.buf[end-s.size : end]
	var power float64
	for _, v := range x {
		power += v * v
	}
	const forget = 0.9995 // in 7 s to half
	s.peak = max(s.peak*forget, power)
	s.head = (s.head + 1) % len(s.ring)
	s.loud[s.head] = power > s.peak*playedQuiet && power > quietest
	if s.loud[s.head] {
		s.fft.coefficients(s.ring[s.head], x)
		if s.power != nil {
			ownPower(s.power[s.head], s.ring[s.head])
		}
	}
}

// keepPower has powerAt work.
func (s *playedSpectra) keepPower() {
	for range s.ring {
		s.power = append(s.power, make([]float64, s.bins))
	}
}

// ownPower fills dst with the power of the bins of x, less the most that the
// others may spill into them: there is no window that would hold it back.
func ownPower(dst []float64, x []complex128) {
	const (
		near, nearFall = 0.2, 0.5 // about the main lobe
		far, farFall   = 0.004, 0.95
	)
	for k, v := range x {
		dst[k] = real(v)*real(v) + imag(v)*imag(v)
	}
	var up, upFar float64
	for k, p := range dst {
		dst[k] = p - up - upFar
		up, upFar = max(up*nearFall, near*nearFall*p), max(upFar*farFall, far*p)
	}
	var down, downFar float64
	for k := len(x) - 1; k >= 0; k-- {
		p := real(x[k])*real(x[k]) + imag(x[k])*imag(x[k])
		dst[k] = max(0, dst[k]-down-downFar)
		down, downFar = max(down*nearFall, near*nearFall*p), max(downFar*farFall, far*p)
	}
}

// aim changes the delay, in samples.
func (s *playedSpectra) aim(p *playedPast, delay int) {
	s.delay = delay
	for k := len(s.ring) - 1; k >= 0; k-- {
		s.take(p, k)
	}
}

// at is the spectrum of k hops ago, nil when that was silent.
func (s *playedSpectra) at(k int) []complex128 {
	i := s.head - k
	if i < 0 {
		i += len(s.ring)
	}
	if !s.loud[i] {
		return nil
	}
	return s.ring[i][:s.used]
}

// powerAt is the power of the bins of k hops ago; nil when that was silent.
func (s *playedSpectra) powerAt(k int) []float64 {
	i := s.head - k
	if i < 0 {
		i += len(s.ring)
	}
	if !s.loud[i] {
		return nil
	}
	return s.power[i][:s.used]
}

// sounds tells whether anything was played from to to-1 hops ago.
func (s *playedSpectra) sounds(from, to int) bool {
	for k := from; k < to; k++ {
		if s.at(k) != nil {
			return true
		}
	}
	return false
}

// samples undoes coefficients but for a factor of n: it fills dst, n long, with the
// samples whose coefficients are x, n/2+1 long, times n.
func (s *spectrum) samples(dst []float64, x []complex128) {
	m := s.n / 2
	for i, r := range s.reverse {
		a, b := x[r], x[m-r]
		b = complex(real(b), -imag(b))
		t := s.turn[r]
		odd := (a - b) * complex(real(t), -imag(t))
		// Half of the transform of even samples and i times the odd ones, conjugate,
		// so that transforming it forth is transforming it back.
		s.z[i] = complex(real(a)+real(b)-imag(odd), -(imag(a) + imag(b) + real(odd)))
	}
	s.transform()
	for i, z := range s.z {
		dst[2*i], dst[2*i+1] = real(z), -imag(z)
	}
}
