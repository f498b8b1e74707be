package timebase

import "math"

// Steps: points that stay away from the line on one side are a lasting change
// of the delay, such as a stream moved to another device.
const (
	stepBound = 0.0005 // seconds off the line that may be a step
	stepUp    = 12     // later than the line for so many points: no longer a busy machine
	stepDown  = 3      // nothing comes earlier by chance for long
)

// place puts a point among the others, or aside while it is not clear what it
// means. It reports whether the points have changed.
func (l *Line) place(p point) bool {
	if l.count < enough {
		l.push(p)
		return true
	}
	off := p.d - l.delay(p.x)
	sd := math.Hypot(l.noise, l.SD(float64(l.index)+p.x*l.rate))
	if math.Abs(off) <= max(stepBound, 6*sd) {
		l.outside = l.outside[:0]
		l.push(p)
		return true
	}
	if n := len(l.outside); n > 0 && (l.outside[n-1].d-l.delay(l.outside[n-1].x) > 0) != (off > 0) {
		l.outside = l.outside[:0]
	}
	l.outside = append(l.outside, p)
	if n := len(l.outside); off > 0 && n < stepUp || off < 0 && n < stepDown {
		return false
	}
	l.step()
	return true
}

// step takes the points set aside as the truth and moves the older ones, which
// still tell the slope, to them.
func (l *Line) step() {
	by := math.Inf(1)
	for _, p := range l.outside {
		by = min(by, p.d-l.delay(p.x))
	}
	for i := range l.points[:l.held()] {
		l.points[i].d += by
	}
	for _, p := range l.outside {
		l.push(p)
	}
	l.outside = l.outside[:0]
}

// fit lays the line through the points, and more. Those above it, which may
// merely have been late, count less the higher they are.
func (l *Line) fit(more ...point) {
	held := l.points[:l.held()]
	l.xr = 0
	for _, p := range held {
		l.xr = max(l.xr, p.x)
	}
	for _, p := range more {
		l.xr = max(l.xr, p.x)
	}
	l.noise = firstSD
	a, b := math.Inf(1), l.slope0 // in the first round nothing is above
	for range 5 {
		s := sums{lambda: (l.noise / l.sd0) * (l.noise / l.sd0), slope0: l.slope0, xr: l.xr}
		for _, p := range held {
			s.add(p, a, b, l.noise)
		}
		for _, p := range more {
			s.add(p, a, b, l.noise)
		}
		a, b = s.solve()
		if len(held) >= enough {
			l.noise = below(held, a, b, l.xr)
		}
		l.varA, l.covAB, l.varB = s.covariance(l.noise)
	}
	l.a, l.b, l.known = a, b, true
	l.slopeSD = math.Sqrt(l.varB)
	if len(held) >= enough {
		l.slopeSD = l.spreadOfSlope()
	}
}

// spreadOfSlope is the standard error of the slope by how far the points really are
// off the line on both sides, and by how alike neighbours are in that: a sound
// server smooths its times, so that they wander. It is the sandwich estimator of an
// M-estimate (Huber 1967), times (1+r)/(1-r) for the correlation r of neighbours as
// in a first-order autoregressive series (both from memory), together with what was
// known of the slope before.
func (l *Line) spreadOfSlope() float64 {
	n := l.held()
	mean, near := 0.0, 0.0
	for _, p := range l.points[:n] {
		mean += p.x / float64(n)
	}
	var all, both, last, wide, bread float64
	for i := range n {
		p := l.points[(l.count-n+i)%window]
		u := (p.x - mean) * (p.x - mean)
		wide += u
		r := p.d - l.delay(p.x)
		if r <= 1.5*l.noise {
			bread += u
			near++
		} else {
			r = 1.5 * l.noise
		}
		all += r * r
		both += r * last
		last = r
	}
	if bread == 0 || near < enough || all == 0 {
		return math.Sqrt(l.varB)
	}
	alike := 0.0
	if n >= youth {
		alike = max(0, min(0.98, both/all))
	}
	v := all / (near - 2) * wide / (bread * bread) * (1 + alike) / (1 - alike)
	return math.Sqrt(v * l.sd0 * l.sd0 / (v + l.sd0*l.sd0))
}

// below is the spread of the points under the line.
func below(held []point, a, b, xr float64) float64 {
	n, ss := 0, 0.0
	for _, p := range held {
		if r := p.d - a - b*(p.x-xr); r <= 0 {
			n++
			ss += r * r
		}
	}
	return max(leastSD, math.Sqrt(ss/float64(max(1, n))))
}

// sums are those of weighted least squares with a slope known beforehand.
type sums struct {
	lambda, slope0, xr  float64
	n, su, suu, sd, sud float64
}

// add takes a point with the weight its height over the line a, b leaves it.
func (s *sums) add(p point, a, b, noise float64) {
	u, w := p.x-s.xr, 1.0
	if r := p.d - a - b*u; r > 1.5*noise {
		w = 1.5 * noise / r
	}
	s.n += w
	s.su += w * u
	s.suu += w * u * u
	s.sd += w * p.d
	s.sud += w * u * p.d
}

func (s *sums) det() float64 { return s.n*(s.suu+s.lambda) - s.su*s.su }

func (s *sums) solve() (a, b float64) {
	uu, ud := s.suu+s.lambda, s.sud+s.lambda*s.slope0
	return (s.sd*uu - s.su*ud) / s.det(), (s.n*ud - s.su*s.sd) / s.det()
}

func (s *sums) covariance(noise float64) (aa, ab, bb float64) {
	k := noise * noise / s.det()
	return k * (s.suu + s.lambda), -k * s.su, k * s.n
}
