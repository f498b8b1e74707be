// Package made makes walks: sound and sensor signals of a walker whose every
// step is known to the sample, for tests, measurements and the demo.
//
// Fill in a [Spec] and call its Walk method; what is left out is sensible. The
// same Spec gives the same samples on every machine of one kind.
//
//	w := made.Spec{
//		Seed: 1, Duration: 60,
//		Gait:   made.Gait{Cadence: made.Ramp(180, 200, 10, 50), JitterCV: 1.5},
//		Noises: []made.Noise{{Kind: made.Wind, SNR: 3}},
//	}.Walk()
//
// Where the numbers in it have a source, it stands beside them; the others are
// chosen by ear and eye, to be like the thing, not to measure it.
package made

import (
	"math"
	"math/rand/v2"
)

// Side tells which foot a step belongs to, with the values of detect.Side.
type Side uint8

// Left and Right take turns.
const (
	Left  Side = 1
	Right Side = 2
)

// Truth is one step of the walker.
type Truth struct {
	T      float64 // first contact, s
	Side   Side    //
	Silent bool    // it happened but makes no sound: a missed step
}

// Spec says how a walk sounds. The zero value of every field is sensible.
type Spec struct {
	Seed     uint64  //
	Rate     float64 // sample rate, Hz; 0 is 48000
	Duration float64 // s; 0 is 30
	Gait             // when the feet touch the ground; without a Cadence nobody walks

	Surface      *Surface // what a step sounds like; nil is HeelStrike
	LevelJitter  float64  // SD of the loudness from step to step, dB
	LevelBetween float64  // how much louder the right foot is than the left, dB
	ForefootGap  float64  // s from the heel to a second sound, the forefoot; 0 is none, 0.050 to 0.110 is natural
	ForefootDB   float64  // level of the second sound against the heel, dB

	Noises []Noise // added to the steps
	Level  float64 // power of the steps in the 100 ms after each, dB re full scale; 0 is -30
	Gain   Curve   // change of the whole level over time, dB; nil is none
	Mic    Mic     // what the microphone does to it
	ClipDB float64 // how far the peaks are driven above full scale, dB; 0: nothing clips
	AGC    bool    // an automatic gain evens out the level, as phones do

	prepared []sound // the surface, ready for the rate; nil: not yet
}

// Walk is what a Spec makes.
type Walk struct {
	Rate    float64   // Hz
	Samples []float32 // mono, within ±1
	Steps   []Truth   // every step, in order of time
	Played  []float32 // the walker's own clicks as they were played, before level, delay and microphone; nil without a Clicks noise
}

// Times returns the times of all steps, s.
func (w Walk) Times() []float64 {
	t := make([]float64, len(w.Steps))
	for i, s := range w.Steps {
		t[i] = s.T
	}
	return t
}

// Window is how long after its first contact a step's power counts, s. The
// power of the steps is the mean square over these windows; the power of a
// noise is its mean square over the whole walk. Their ratio is the SNR.
const Window = 0.100

// withDefaults fills in what the zero value stands for.
func (s Spec) withDefaults() Spec {
	if s.Rate == 0 {
		s.Rate = 48000
	}
	if s.Duration == 0 {
		s.Duration = 30
	}
	if s.Surface == nil {
		s.Surface = HeelStrike()
	}
	if s.Level == 0 {
		s.Level = -30
	}
	return s
}

// Walk makes the walk.
func (s Spec) Walk() Walk {
	s = s.withDefaults()
	if s.Cadence != nil {
		s.prepared = s.Surface.sounds(s.Rate)
	}
	w := Walk{Rate: s.Rate}
	w.Steps = s.Gait.Steps(s.Seed, s.Duration)
	sum := s.placeSteps(w.Steps)
	w.Steps = w.Steps[:within(w.Steps, s.Duration)]
	for i, n := range s.Noises {
		noise, played := n.make(s, w.Steps, stream(s.Seed, 100+uint64(i)))
		if played != nil {
			w.Played = toFloat32(played)
		}
		add(sum, noise)
	}
	w.Samples = toFloat32(s.record(sum))
	return w
}

// within counts the steps before the end.
func within(steps []Truth, end float64) int {
	n := 0
	for n < len(steps) && steps[n].T < end {
		n++
	}
	return n
}

// stream is the random source of one part of the walk. Each part has its own,
// so that adding a noise leaves the steps where they were.
func stream(seed, part uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, part)) }

// amplitude turns decibels into a factor.
func amplitude(dB float64) float64 { return math.Pow(10, dB/20) }

func add(dst, src []float64) {
	for i := range min(len(dst), len(src)) {
		dst[i] += src[i]
	}
}

func scale(x []float64, by float64) {
	for i := range x {
		x[i] *= by
	}
}

// power is the mean square.
func power(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(max(len(x), 1))
}

func toFloat32(x []float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = float32(v)
	}
	return y
}
