package cue

import (
	"math"

	"steadfoot/audio"
)

// partial is one sine of a timbre.
type partial struct {
	ratio float64 // of the note's frequency
	level float64 // linear
	turn  float64 // phase at the start, in turns
}

// note is one tone of a sound. Times are in seconds.
type note struct {
	start, length float64
	freq          float64 // Hz, any fraction
	timbre        []partial
	attack        float64 // raised-cosine rise
	release       float64 // raised-cosine fall that ends with the note
	decay         float64 // time constant of an exponential fall; 0 for none
	rough         float64 // Hz of amplitude modulation down to a fifth; 0 for none
}

// wave is sin of 2π·(freq·n/rate + turn). The phase is computed from n, not
// summed up, so any frequency is exact however long it sounds.
func wave(freq, turn float64, n int) float64 {
	_, frac := math.Modf(freq*float64(n)/audio.Rate + turn)
	return math.Sin(2 * math.Pi * frac)
}

// level is the note's envelope t seconds after its start, 0..1.
func (v note) level(t float64) float64 {
	if t < 0 || t > v.length {
		return 0
	}
	e := 1.0
	if t < v.attack {
		e *= 0.5 - 0.5*math.Cos(math.Pi*t/v.attack)
	}
	if rest := v.length - t; rest < v.release {
		e *= 0.5 - 0.5*math.Cos(math.Pi*rest/v.release)
	}
	if v.decay > 0 {
		e *= math.Exp(-t / v.decay)
	}
	if v.rough > 0 {
		e *= 0.6 + 0.4*math.Cos(2*math.Pi*v.rough*t)
	}
	return e
}

// sing adds the notes up into mono samples, as many as the last note needs.
func sing(notes []note) []float64 {
	end := 0.0
	for _, v := range notes {
		end = math.Max(end, v.start+v.length)
	}
	out := make([]float64, int(math.Ceil(end*audio.Rate)))
	for _, v := range notes {
		first := int(math.Round(v.start * audio.Rate))
		for n := 0; first+n < len(out); n++ {
			e := v.level(float64(n) / audio.Rate)
			for _, p := range v.timbre {
				out[first+n] += e * p.level * wave(v.freq*p.ratio, p.turn, n)
			}
		}
	}
	return out
}
