// Package formant is a small voice: pulses of a glottis and noise go through
// resonators, as the air does in throat and mouth. It speaks words given as
// phones, with a pitch contour, and makes the same samples each time.
//
//	pulses ─▶ tilt ─┐
//	                ├─▶ nasal pair ─▶ F1 ─▶ F2 ─▶ F3 ─▶ F4 ─▶ F5 ─┬─▶ out
//	breath noise ───┘                                             │
//	hiss noise ──────────────────────────────▶ one resonator ─────┘
//
// The structure and the resonator's formula are those of Klatt (1980, JASA
// 67:971): a cascade for what the glottis drives, a branch of its own for
// friction. Start with [Say].
package formant

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// Say speaks phones, which are separated by spaces and listed by [Phones], and
// gives mono samples at rate Hz, 16000 at least, and when the vowel of each
// syllable starts, in s. The level is what it happens to be; bring it to a level
// of your own. pitch is the contour in Hz: its values are spread evenly from the
// first to the last voiced sound and joined on a logarithmic scale. slow
// stretches all durations; 1 is the voice's own. It fails on an unknown phone,
// no phone, or an empty contour.
func Say(rate int, phones string, pitch []float64, slow float64) (mono, vowels []float64, err error) {
	if len(pitch) == 0 {
		return nil, nil, fmt.Errorf("formant: %q has no pitch", phones)
	}
	var segs []segment
	for _, name := range strings.Fields(phones) {
		p, ok := inventory[name]
		if !ok {
			return nil, nil, fmt.Errorf("formant: no phone is written %q", name)
		}
		segs = append(segs, p...)
	}
	if len(segs) == 0 {
		return nil, nil, fmt.Errorf("formant: nothing to say")
	}
	s := newScore(segs, pitch, slow)
	return newMouth(rate).speak(s), s.vowels(), nil
}

// Hold gives seconds of one steady vowel by its formants, in Hz, on one pitch.
func Hold(rate int, formants [3]float64, pitch, seconds float64) []float64 {
	s := segment{shape: vowelShape(formants), length: seconds}
	return newMouth(rate).speak(newScore([]segment{s}, []float64{pitch}, 1))
}

// control is how often the resonators are set anew, s. Klatt's 5 ms can be heard
// as steps in fast transitions; this cannot.
const control = 0.001

// mouth is the state of the synthesiser.
type mouth struct {
	rate    float64
	pulse   glottis
	nasal   pair
	formant [tubes]resonator
	hiss    resonator
	edge    float64 // gain of the difference before the hiss resonator
	white   float64 // the sample of noise before
	noise   *rand.Rand
}

func newMouth(rate int) *mouth {
	return &mouth{rate: float64(rate), pulse: newGlottis(float64(rate)), noise: rand.New(rand.NewPCG(1980, 67))}
}

func (m *mouth) speak(s score) []float64 {
	out := make([]float64, int(s.length()*m.rate))
	step := max(1, int(control*m.rate))
	var from, to shape
	for i := range out {
		if i%step == 0 {
			from, to = s.at(float64(i)/m.rate), s.at(float64(i+step)/m.rate)
			m.set(from)
		}
		w := float64(i%step) / float64(step)
		level := func(a, b float64) float64 { return a + w*(b-a) }
		out[i] = m.next(s.pitch(float64(i)/m.rate),
			level(from.voice, to.voice), level(from.breath, to.breath), level(from.hiss, to.hiss))
	}
	return out
}

// upper are the next resonances of an even tube. They are fixed: what they do is
// to raise the third to fifth formant, as they do in a throat.
var upper = [3]float64{5500, 6500, 7500}

const tubes = 5 + len(upper)

// set tunes the resonators.
func (m *mouth) set(s shape) {
	for k := range s.freq {
		m.formant[k].tune(s.freq[k], s.width[k], m.rate)
	}
	for k, f := range upper {
		m.formant[len(s.freq)+k].tune(f, 500, m.rate)
	}
	m.nasal.tune(s.nasal, m.rate)
	if s.hissFreq > 0 {
		m.hiss.tune(s.hissFreq, s.hissWidth, m.rate)
		m.edge = 1 / (2 * math.Sin(math.Pi*s.hissFreq/m.rate))
	}
}

// noiseLevel makes breath of level 1 about as loud in a vowel as a voice of
// level 1 would be shouted over; shapes use a fraction of it.
const noiseLevel = 0.25

func (m *mouth) next(pitch, voice, breath, hiss float64) float64 {
	white := noiseLevel * m.noise.NormFloat64() * math.Sqrt(m.rate/48000)
	x := voice*m.pulse.next(pitch) + breath*white
	x = m.nasal.next(x)
	for k := range m.formant {
		x = m.formant[k].next(x)
	}
	rough := m.edge * (white - m.white) // no rumble below the hiss
	m.white = white
	return x + hiss*m.hiss.next(rough)
}
