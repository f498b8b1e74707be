package detect

import "math"

const (
	gravityS  = 3.0  // memory of the mean magnitude
	mostG     = 12.0 // no more than this many means, a fault of the sensor
	longestS  = 0.48 // longest smoothing window
	quickS    = 0.12 // shortest
	leastSway = 0.03 // share of gravity: what a hand at rest does
)

// sway keeps the last half second of the magnitude of the acceleration, as a
// share of gravity beyond gravity. A step lifts and drops the body once,
// wherever the sensor sits.
type sway struct {
	gravity float64
	seen    float64
	ring    []float64 // written twice, so that every window is in one piece
	lost    []bool    // ring: the frame lay in a hole
	n       int
	short   []float64
	delay   int // frames by which the middle of the ring is late
}

func newSway() *sway {
	long := len(hann(longestS))
	return &sway{ring: make([]float64, 2*long), lost: make([]bool, long), short: hann(quickS), delay: long / 2}
}

// hann is a raised cosine of unit sum with an odd number of frames.
func hann(seconds float64) []float64 {
	w := make([]float64, 2*int(seconds*motionRate/2)+1)
	var sum float64
	for i := range w {
		s := math.Sin(math.Pi * float64(i+1) / float64(len(w)+1))
		w[i] = s * s
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// next takes the magnitude of one frame, in any unit.
func (s *sway) next(v float64, hole bool) {
	var x float64
	if !hole {
		if s.gravity == 0 {
			s.gravity = v
		}
		v = math.Min(v, mostG*s.gravity)
		s.seen = math.Min(s.seen+1, gravityS*motionRate)
		s.gravity += (v - s.gravity) / s.seen
		if s.gravity > 0 {
			x = v/s.gravity - 1
		}
	}
	half := len(s.ring) / 2
	s.lost[s.n%half] = hole
	s.ring[s.n%half], s.ring[s.n%half+half] = x, x
	s.n++
}

// smooth is the mean, weighted by w, around the frame late frames ago.
func (s *sway) smooth(w []float64, late int) float64 {
	half := len(s.ring) / 2
	from := (s.n - 1 - late - len(w)/2 + 2*half) % half
	var y float64
	for i, v := range s.ring[from : from+len(w)] {
		y += w[i] * v
	}
	return y
}

// quick is the latest value with only tremor and noise smoothed away.
func (s *sway) quick() float64 { return s.smooth(s.short, len(s.short)/2) }

// blind tells whether the middle of the ring lay in a hole.
func (s *sway) blind() bool {
	return s.n > s.delay && s.lost[(s.n-1-s.delay)%len(s.lost)]
}
