// Package circular describes how directions lie around a circle: the phases of
// steps against a beat.
//
// With C = Σcos θ and S = Σsin θ of n angles θ the resultant length is
// R = √(C² + S²)/n: 1 where all angles are the same, 0 where they cancel out. The
// circular variance is 1 − R and the circular standard deviation √(−2 ln R)
// (Mardia and Jupp, Directional Statistics, from memory). The test of Rayleigh
// asks how often so large an R would come of angles that lie anywhere; it goes by
// z = nR², and takes the angles to be independent of each other.
package circular

import "math"

// Summary is what a set of angles comes to.
type Summary struct {
	N    int
	Mean float64 // direction, radians, -π to π; 0 where R is 0
	R    float64 // resultant length, 0 to 1
}

// Of summarises angles in radians.
func Of(angles []float64) Summary {
	s := Summary{N: len(angles)}
	if s.N == 0 {
		return s
	}
	var c, sn float64
	for _, a := range angles {
		c += math.Cos(a)
		sn += math.Sin(a)
	}
	s.R = min(1, math.Hypot(c, sn)/float64(s.N))
	if s.R < 1e-15*float64(s.N) { // they cancel out but for rounding
		s.R = 0
	}
	if s.R > 0 {
		s.Mean = math.Atan2(sn, c)
	}
	return s
}

// Variance is the circular variance, 0 to 1.
func (s Summary) Variance() float64 { return 1 - s.R }

// SD is the circular standard deviation in radians, infinite where R is 0.
func (s Summary) SD() float64 {
	if s.R == 0 {
		return math.Inf(1)
	}
	return math.Sqrt(-2*math.Log(s.R)) + 0 // no -0
}

// Z is the statistic of Rayleigh's test, nR².
func (s Summary) Z() float64 { return float64(s.N) * s.R * s.R }

// Zar is the p of Rayleigh's test by the approximation in Zar's Biostatistical
// Analysis, exp(√(1 + 4n + 4(n² − R²n²)) − (1 + 2n)). It is a probability for
// every n and R. It is 1 for no angles.
func (s Summary) Zar() float64 {
	n := float64(s.N)
	rn := n * s.R
	return math.Exp(math.Sqrt(1+4*n+4*(n*n-rn*rn)) - (1 + 2*n))
}

// Wilkie is the p of Rayleigh's test by the series of Wilkie (1983), with its
// correction for fewer than 50 angles:
// e^−z·[1 + (2z − z²)/4n − (24z − 132z² + 76z³ − 9z⁴)/288n²].
// With few angles and a large R the series leaves the range of a probability; it
// is held to 0 to 1 here.
func (s Summary) Wilkie() float64 {
	n, z := float64(s.N), s.Z()
	p := 1.0
	if s.N > 0 && s.N < 50 {
		p += (2*z-z*z)/(4*n) - (24*z-132*z*z+76*z*z*z-9*z*z*z*z)/(288*n*n)
	}
	return max(0, min(1, math.Exp(-z)*p))
}
