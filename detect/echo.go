package detect

import "math"

const (
	echoS    = 4.0 // over this long a signal is compared with its past
	echoLagS = 2.0 // longest lag: a stride of the slowest walk
)

// echo tells how alike a signal is to itself some time before.
type echo struct {
	ring []float64
	n    int
}

func newEcho() echo {
	return echo{ring: make([]float64, int((echoS+echoLagS)*motionRate)+2)}
}

func (e *echo) next(x float64) {
	e.ring[e.n%len(e.ring)] = x
	e.n++
}

// regularity is the correlation of the last echoS seconds with those lag frames
// before, -1 to 1, at the best lag within a frame. At the lag of a step it is
// the step regularity, at that of two the stride regularity of R. Moe-Nilssen
// and J. L. Helbostad, "Estimation of gait cycle characteristics by trunk
// accelerometry", J Biomech 37 (2004) 121.
func (e *echo) regularity(lag float64) float64 {
	best := -1.0
	mid := int(math.Round(math.Max(2, math.Min(lag, echoLagS*motionRate))))
	for m := mid - 1; m <= mid+1; m++ {
		var xy, xx, yy float64
		now, then := e.n-1, e.n-1-m
		for i := 0; i < echoS*motionRate && then-i >= 0; i++ {
			x, y := e.ring[(now-i)%len(e.ring)], e.ring[(then-i)%len(e.ring)]
			xy += x * y
			xx += x * x
			yy += y * y
		}
		best = math.Max(best, xy/math.Sqrt(xx*yy+1e-12))
	}
	return best
}
