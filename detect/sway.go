package detect

import "math"

const (
	swaySmoothS = 0.13  // length of the smoothing window
	swaySlowS   = 1.0   // memory of the mean, gravity and slow turns
	swayUsualS  = 4.0   // memory of the usual deviation
	swayLeast   = 0.035 // least usual deviation, share of gravity: hands at rest stay below
	swayScale   = 1.5   // evidence of a usual deviation
)

// sway turns the magnitude of the acceleration into evidence of steps: how far
// it is above its mean, smoothed, in units of its usual deviation. A step
// lifts and drops the body once, wherever the sensor sits.
type sway struct {
	window []float64
	ring   []float64
	n      int
	mean   float64
	square float64
	weight float64
}

func newSway() sway {
	s := sway{window: make([]float64, int(swaySmoothS*motionRate))}
	s.ring = make([]float64, len(s.window))
	var sum float64
	for i := range s.window {
		w := math.Sin(math.Pi * (float64(i) + 0.5) / float64(len(s.window)))
		s.window[i] = w * w
		sum += s.window[i]
	}
	for i := range s.window {
		s.window[i] /= sum
	}
	return s
}

// next takes the magnitude of one frame, in any unit.
func (s *sway) next(v float64) float64 {
	s.ring[s.n%len(s.ring)] = v
	s.n++
	var x float64
	for i, w := range s.window {
		x += w * s.ring[(s.n+i)%len(s.ring)]
	}
	if s.n < len(s.ring) {
		s.mean = v
		return 0
	}
	s.mean += (x - s.mean) / (swaySlowS * motionRate)
	d := x - s.mean
	// The first seconds have a mean of their own; a memory of 4 s comes later.
	s.weight = math.Min(s.weight+1, swayUsualS*motionRate)
	s.square += (d*d - s.square) / s.weight
	usual := math.Max(math.Sqrt(s.square), swayLeast*math.Abs(s.mean))
	if d <= 0 || usual == 0 {
		return 0
	}
	return swayScale * d / usual
}
