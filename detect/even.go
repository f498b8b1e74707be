package detect

import "math"

// A new walk must show even steps, all of them felt: hands repeat a movement a
// few times, but no two strides of theirs take as equally long as a walker's.
const (
	evenSteps  = 7     // the latest steps that are looked at
	slowSteps  = 9     // below Slowest, where hands repeat themselves
	evenStride = 0.065 // most SD of the strides about their trend, share of a stride
	evenHz     = 2.0   // steps a second; slower ones must be evener, by the square
	evenHeight = 0.5   // most SD of the heights, share of their mean
)

// even tells whether the latest steps kept are even enough for a new walk.
func (g *gear) even() bool {
	n := evenSteps
	if g.period() > 60/Slowest {
		n = slowSteps
	}
	if len(g.kept) < n {
		return false
	}
	var stride, height [slowSteps]float64
	k := g.kept[len(g.kept)-n:]
	for i, c := range k {
		if !c.heard {
			return false
		}
		height[i] = c.height
		if i >= 2 {
			stride[i-2] = c.t - k[i-2].t
		}
	}
	mean, _, rest := line(stride[:n-2])
	most := evenStride * math.Min(1, math.Pow(2/(evenHz*mean), 2))
	if rest > most*mean {
		return false
	}
	mean, trend, rest := line(height[:n])
	return math.Hypot(trend, rest) <= evenHeight*mean
}

// line fits a line of least squares to y, of which there are at least three. It
// returns the mean, the SD of the fitted values, and the SD of the rest.
func line(y []float64) (mean, trend, rest float64) {
	n := float64(len(y))
	mid := (n - 1) / 2
	var xx, xy float64
	for i, v := range y {
		x := float64(i) - mid
		mean += v / n
		xx += x * x
		xy += x * v
	}
	slope := xy / xx
	for i, v := range y {
		d := v - mean - slope*(float64(i)-mid)
		rest += d * d
	}
	return mean, math.Abs(slope) * math.Sqrt(xx/(n-1)), math.Sqrt(rest / (n - 2))
}
