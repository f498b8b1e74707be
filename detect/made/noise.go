package made

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Kind names a noise.
type Kind string

// The kinds of noise.
const (
	White   Kind = "white"
	Pink    Kind = "pink"
	Wind    Kind = "wind"    // rumble in gusts
	Breath  Kind = "breath"  // locked to the steps, Cycle steps a breath
	Voices  Kind = "voices"  // Count people talking
	Traffic Kind = "traffic" // rumble, and cars passing
	Rustle  Kind = "rustle"  // clothing, between the steps
	Crowd   Kind = "crowd"   // Count other walkers, each SNR dB below the walker
	Clicks  Kind = "clicks"  // own clicks leaking into the microphone
	Typing  Kind = "typing"  // on a keyboard
	Water   Kind = "water"   // a tap running
	Clap    Kind = "clap"    // of the hands, once
	Drums   Kind = "drums"   // a drum loop
	Sewing  Kind = "sewing"  // a sewing machine
	Given   Kind = "given"   // the recording in Samples, repeated
)

// Noise is one thing heard beside the steps.
type Noise struct {
	Kind    Kind
	SNR     float64   // power of the steps against it, dB; see Window
	Cycle   int       // Breath: steps a breath, 4 for 2:2 and 6 for 3:3; 0 is 4
	Count   int       // Voices, Crowd: how many; 0 is 3
	Beat    Curve     // Clicks, Drums, Sewing: their rate, 1/min; Crowd: their cadence, steps/min; nil is 120, or one for each of the crowd
	From    float64   // Crowd: when they come, s
	Delay   float64   // Clicks: from playing to arriving in the microphone, s
	Samples []float32 // Given: at the rate of the walk
}

// make returns the noise for steps of unit power, and what was played.
func (n Noise) make(s Spec, steps []Truth, rng *rand.Rand) (x, played []float64) {
	level := amplitude(-n.SNR)
	switch n.Kind {
	case Crowd:
		x = crowd(s, n, rng)
	case Clicks:
		x, played = clicks(s, n)
	default:
		x = n.steady(s, steps, rng)
		level /= math.Sqrt(max(power(x), 1e-30))
	}
	scale(x, level)
	return x, played
}

// steady makes the noises whose power is their mean square over the walk.
func (n Noise) steady(s Spec, steps []Truth, rng *rand.Rand) []float64 {
	x := make([]float64, int(s.Duration*s.Rate))
	switch n.Kind {
	case White:
		fillWhite(x, rng)
	case Pink:
		fillPink(x, rng, s.Rate)
	case Wind:
		wind(x, rng, s.Rate)
	case Breath:
		breath(x, rng, s.Rate, steps, or(n.Cycle, 4))
	case Voices:
		for range or(n.Count, 3) {
			talk(x, rng, s.Rate)
		}
	case Traffic:
		traffic(x, rng, s.Rate)
	case Rustle:
		rustle(x, rng, s.Rate, steps)
	case Typing:
		typing(x, rng, s.Rate)
	case Water:
		water(x, rng, s.Rate)
	case Clap:
		clap(x, rng, s.Rate)
	case Drums:
		drums(x, rng, s.Rate, n.beat())
	case Sewing:
		sewing(x, rng, s.Rate, n.beat())
	case Given:
		for i := range x {
			x[i] = float64(n.Samples[i%len(n.Samples)])
		}
	default:
		panic(fmt.Sprintf("made: unknown noise %q", n.Kind))
	}
	return x
}

func (n Noise) beat() Curve {
	if n.Beat == nil {
		return Steady(120)
	}
	return n.Beat
}

func or(n, otherwise int) int {
	if n == 0 {
		return otherwise
	}
	return n
}

func fillWhite(x []float64, rng *rand.Rand) {
	for i := range x {
		x[i] = rng.NormFloat64()
	}
}

// fillPink is 1/f from 20 Hz up.
func fillPink(x []float64, rng *rand.Rand, rate float64) {
	f := newFlicker(rng, 20/rate, 0.5)
	for i := range x {
		x[i] = f.next()
	}
}
