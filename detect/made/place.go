package made

import "math"

// sound is one footfall ready to be placed.
type sound struct {
	x     []float64
	onset int // sample of first contact
}

// variants is how many slightly different copies are made of each sound: no two
// real steps are the same.
const variants = 4

// sounds prepares the surface for a rate: every sound in several variants, up
// to 4 % higher or lower, all at the same mean power.
func (s *Surface) sounds(rate float64) []sound {
	var out []sound
	rng := stream(uint64(len(s.Sounds)), 11)
	for _, x := range s.Sounds {
		for range variants {
			pitch := 1 + 0.04*(2*rng.Float64()-1)
			y := resample(x, s.Rate*pitch/rate)
			out = append(out, sound{y, OnsetOf(y, rate)})
		}
	}
	var sum float64
	for _, o := range out {
		sum += power(o.window(rate))
	}
	level := 1 / math.Sqrt(sum/float64(len(out)))
	for _, o := range out {
		scale(o.x, level)
	}
	return out
}

// window is the part of the sound that counts for its power.
func (o sound) window(rate float64) []float64 {
	w := make([]float64, int(Window*rate))
	copy(w, o.x[o.onset:])
	return w
}

// placeSteps puts a sound at every step, moves the times of the steps to whole
// samples, and scales the sum to unit power.
func (s Spec) placeSteps(steps []Truth) []float64 {
	sum := make([]float64, int(s.Duration*s.Rate))
	if len(steps) == 0 {
		return sum
	}
	sounds, rng := s.prepared, stream(s.Seed, 4)
	if sounds == nil {
		sounds = s.Surface.sounds(s.Rate)
	}
	for i := range steps {
		at := int(math.Round(steps[i].T * s.Rate))
		steps[i].T = float64(at) / s.Rate
		heel, fore := sounds[rng.IntN(len(sounds))], sounds[rng.IntN(len(sounds))]
		level := amplitude(s.LevelJitter * rng.NormFloat64())
		gap := s.ForefootGap + 0.004*rng.NormFloat64()
		if steps[i].Side == Right {
			level *= amplitude(s.LevelBetween)
		}
		if steps[i].Silent {
			continue
		}
		place(sum, heel, at, level)
		if s.ForefootGap > 0 {
			place(sum, fore, at+int(gap*s.Rate), level*amplitude(s.ForefootDB))
		}
	}
	if p := stepPower(sum, steps, s.Rate); p > 0 {
		scale(sum, 1/math.Sqrt(p))
	}
	return sum
}

// place adds a sound so that its onset is at the given sample.
func place(sum []float64, o sound, at int, level float64) {
	for i, v := range o.x {
		if k := at - o.onset + i; k >= 0 && k < len(sum) {
			sum[k] += level * v
		}
	}
}

// stepPower is the mean square in the windows after the steps that sound.
func stepPower(sum []float64, steps []Truth, rate float64) float64 {
	var total float64
	n := 0
	for _, s := range steps {
		from := int(s.T * rate)
		if to := from + int(Window*rate); !s.Silent && to <= len(sum) {
			total += power(sum[from:to])
			n++
		}
	}
	return total / float64(max(n, 1))
}

// OnsetOf returns the sample of first contact: the first at which the root mean
// square over 2 ms comes within 20 dB of its greatest value.
func OnsetOf(x []float64, rate float64) int {
	half := max(1, int(0.001*rate))
	energy := make([]float64, len(x)+1)
	for i, v := range x {
		energy[i+1] = energy[i] + v*v
	}
	at := func(i int) float64 { return energy[min(i+half, len(x))] - energy[max(i-half, 0)] }
	var most float64
	for i := range x {
		most = max(most, at(i))
	}
	for i := range x {
		if at(i) >= most/100 {
			return i
		}
	}
	return 0
}
