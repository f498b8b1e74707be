package made

import (
	"math"
	"math/rand/v2"
)

// vowels are mean formants F1 to F3 of men, Hz, averaged from the data of
// Peterson and Barney 1952 (as in praat's dwtools/Table_dataSets.cpp).
var vowels = [][3]float64{
	{267, 2294, 2937}, {392, 1993, 2569}, {526, 1854, 2481}, {664, 1727, 2420}, {631, 1192, 2377},
	{718, 1091, 2442}, {568, 836, 2403}, {437, 1023, 2245}, {307, 876, 2239}, {489, 1360, 1709},
}

// talk adds one person talking: phrases of some syllables with pauses between,
// each syllable a consonant's noise and a vowel.
func talk(x []float64, rng *rand.Rand, rate float64) {
	v := newVoice(rng, rate)
	at := int(2 * rng.Float64() * rate)
	for at < len(x) {
		for range 3 + rng.IntN(10) {
			n := int((0.12 + 0.16*rng.Float64()) * rate)
			v.syllable(x[min(at, len(x)):min(at+n, len(x))], n)
			at += n
		}
		at += int((0.2 + 1.2*rng.Float64()) * rate)
	}
}

// voice is one talker: a buzz through three resonators and a hiss.
type voice struct {
	rng   *rand.Rand
	rate  float64
	pitch float64 // Hz
	size  float64 // of the formants, against a man's
	phase float64 // of the buzz, cycles
	form  [3]*filter
	hiss  *filter
}

func newVoice(rng *rand.Rand, rate float64) *voice {
	v := &voice{rng: rng, rate: rate, pitch: 110, size: 1, hiss: newFilter(rate, 4500, 1)}
	if rng.IntN(2) == 1 {
		v.pitch, v.size = 205, 1.15 // a woman
	}
	v.pitch *= 1 + 0.1*rng.NormFloat64()
	for i := range v.form {
		v.form[i] = newFilter(rate, 500, 8)
	}
	return v
}

// syllable adds one of n samples to the start of x, which may be shorter.
func (v *voice) syllable(x []float64, n int) {
	vowel := vowels[v.rng.IntN(len(vowels))]
	for i, f := range v.form {
		f.k = 70 / (vowel[i] * v.size) * float64(i+1) // bandwidths of 70, 140 and 210 Hz
		f.tune(v.rate, vowel[i]*v.size)
	}
	level, glide := amplitude(3*v.rng.NormFloat64()), 1+0.15*v.rng.NormFloat64()
	consonant, burst := 0.1+0.25*v.rng.Float64(), 0.12*v.rng.Float64()
	for i := range x {
		u := float64(i) / float64(n)
		v.phase += v.pitch * (1 + (glide-1)*u) / v.rate
		v.phase -= math.Floor(v.phase)
		buzz := (0.5 - v.phase) * hump(u, 0.3+consonant)
		y := v.form[0].step(buzz).band + 0.6*v.form[1].step(buzz).band + 0.3*v.form[2].step(buzz).band
		if u < consonant {
			y += burst * hump(u/consonant, 0.3) * v.hiss.step(v.rng.NormFloat64()).band
		}
		x[i] += level * y
	}
}
