package made

import "math"

// Hands clap beside the walker's microphone: always the same hands in the same
// place, and no clap quite like another.
type Hands struct {
	Seed   uint64
	Hz     float64 // where they are strongest: 700 for cupped hands, 2500 for flat ones
	Q      float64 // how much so; 1 is a broad maximum
	Fade   float64 // time to 1/e, s
	Hits   int     // the hands do not meet all at once: this many smaller contacts come first, 3 to 12 ms before
	Peak   float64 // of the first clap, full scale 1; louder ones are cut off there, like any sound
	Spread float64 // SD of the level from clap to clap, dB
	Leak           // the way into the microphone; DB is not used
}

// Into adds a clap at each of times, s, to w and returns it.
func (h Hands) Into(w Walk, times []float64) Walk {
	x := make([]float64, len(w.Samples))
	rng := stream(h.Seed, 42)
	for _, t := range times {
		f := newFilter(w.Rate, h.Hz*(1+0.05*rng.NormFloat64()), h.Q)
		level := amplitude(h.Spread * rng.NormFloat64())
		for i := h.Hits; i >= 0; i-- {
			part, before := level, 0.0
			if i > 0 {
				part, before = level*(0.3+0.5*rng.Float64()), 0.003+0.009*rng.Float64()
			}
			knock(x, rng, f, w.Rate, t-before, part, h.Fade)
		}
	}
	heard := h.through(toFloat32(x), w.Rate)
	var peak float64
	if len(times) > 0 {
		for _, v := range heard[:min(len(heard), int((times[0]+h.Delay+0.2)*w.Rate))] {
			peak = max(peak, math.Abs(v))
		}
	}
	sum := make([]float32, len(w.Samples))
	for i, v := range w.Samples {
		sum[i] = float32(min(max(float64(v)+h.Peak*heard[i]/max(peak, 1e-9), -1), 1))
	}
	w.Samples = sum
	return w
}
