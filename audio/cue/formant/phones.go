package formant

import "slices"

// The values here that are no vowel of a table are common practice for such
// synthesisers, put down from memory and set by ear of the spectrogram: widths,
// upper formants, places of consonants, lengths. The contoids say "whereabouts",
// for syllables that can be told apart, not for natural speech.

// vowelShape is a steady vowel. F4 and F5 carry no meaning; they keep clear of F3.
func vowelShape(f [3]float64) shape {
	f4 := max(3500, f[2]+600)
	return shape{
		voice: 1, breath: 0.02,
		freq:  [5]float64{f[0], f[1], f[2], f4, f4 + 900},
		width: [5]float64{60, 90, 140, 220, 300},
		nasal: nosePole,
	}
}

// place is a consonant's tract: narrower, so with a low first formant.
func place(f1, f2, f3 float64) shape {
	s := vowelShape([3]float64{f1, f2, f3})
	s.voice, s.breath = 0, 0
	return s
}

func (s shape) voiced(level float64) shape { s.voice = level; return s }

func (s shape) breathed(level float64) shape { s.breath = level; return s }

func (s shape) hissing(level, freq, width float64) shape {
	s.hiss, s.hissFreq, s.hissWidth = level, freq, width
	return s
}

func (s shape) nosed(zero float64) shape {
	s.nasal = zero
	s.width = [5]float64{90, 150, 200, 300, 300}
	return s
}

func vowel(f [3]float64, length float64) segment {
	return segment{shape: vowelShape(f), length: length, glide: 0.06, edge: 0.03, core: true}
}

// ahead marks a tract that is already where the next sound has it.
func ahead(s shape) shape { s.freq = [5]float64{}; return s }

var (
	lips   = place(250, 900, 2200)
	ridge  = place(250, 1750, 2650)
	velum  = place(250, 1900, 2300)
	teeth  = place(280, 1350, 2550)
	throat = ahead(place(500, 1500, 2500))
)

// stop closes the tract, and opens it with a burst at freq Hz. A voiceless one
// breathes until the voice sets in.
func stop(at shape, freq, width, level float64, voiceless bool) []segment {
	shut := segment{shape: at, length: 0.06, glide: 0.05, edge: 0.01}
	burst := segment{shape: at.hissing(level, freq, width), length: 0.016, glide: 0.02, edge: 0.004}
	if !voiceless {
		shut.voice, shut.length = 0.12, 0.05
		burst.length, burst.hiss = 0.010, 0.6*level
		return []segment{shut, burst}
	}
	puff := segment{shape: ahead(at).breathed(0.25), length: 0.04, glide: 0.05, edge: 0.01}
	return []segment{shut, burst, puff}
}

func consonant(s shape, length, glide float64) []segment {
	return []segment{{shape: s, length: length, glide: glide, edge: 0.03}}
}

// inventory has the phones by the way they are written. A diphthong is two
// vowels with a long glide between them.
var inventory = func() map[string][]segment {
	all := map[string][]segment{
		"ə": {vowel([3]float64{500, 1500, 2500}, 0.10)}, // an even tube

		"w": consonant(place(300, 650, 2200).voiced(0.3), 0.07, 0.08),
		"j": consonant(place(270, 2250, 2950).voiced(0.5), 0.06, 0.08),
		"l": consonant(place(350, 1050, 2700).voiced(0.5), 0.07, 0.04),
		"r": consonant(place(350, 1100, 1550).voiced(0.5), 0.07, 0.08),
		"m": consonant(place(250, 1000, 2200).voiced(0.5).nosed(450), 0.08, 0.03),
		"n": consonant(place(250, 1600, 2600).voiced(0.5).nosed(450), 0.08, 0.03),
		"ŋ": consonant(place(250, 2000, 2500).voiced(0.5).nosed(450), 0.09, 0.04),
		"v": consonant(lips.voiced(0.35).hissing(0.08, 3000, 3000), 0.06, 0.05),
		"ð": consonant(teeth.voiced(0.35).hissing(0.06, 4000, 3000), 0.06, 0.05),
		"z": consonant(ridge.voiced(0.25).hissing(0.25, 5600, 1500), 0.09, 0.05),
		"s": consonant(ridge.hissing(0.5, 5600, 1500), 0.13, 0.05),
		"f": consonant(lips.hissing(0.3, 3000, 3000), 0.10, 0.05),
		"θ": consonant(teeth.hissing(0.25, 4000, 3000), 0.09, 0.05),
		"h": consonant(throat.breathed(0.3), 0.07, 0.04),

		"p": stop(lips, 900, 600, 0.4, true),
		"b": stop(lips, 900, 600, 0.4, false),
		"t": stop(ridge, 4000, 1500, 0.7, true),
		"d": stop(ridge, 4000, 1500, 0.7, false),
		"k": stop(velum, 1900, 500, 0.6, true),
		"g": stop(velum, 1900, 500, 0.6, false),
	}
	for _, v := range Vowels {
		all[v.Symbol] = []segment{vowel(v.Formants[Men], 0.15)}
	}
	glide := func(from, to [3]float64) []segment {
		a, b := vowel(from, 0.12), vowel(to, 0.10)
		b.glide, b.core = 0.12, false
		return []segment{a, b}
	}
	small, round := Vowels[1].Formants[Men], Vowels[7].Formants[Men] // ɪ and ʊ
	open := [3]float64{700, 1300, 2450}
	all["ʉu"] = glide([3]float64{310, 1450, 2300}, Vowels[8].Formants[Men]) // u after the ridge
	all["eɪ"] = glide([3]float64{476, 2089, 2691}, small)                   // e and o: Hillenbrand et al. (1995), men
	all["oʊ"] = glide([3]float64{497, 910, 2459}, round)
	all["aɪ"] = glide(open, small)
	all["aʊ"] = glide(open, round)
	return all
}()

// Phones lists the phones that Say knows, sorted.
func Phones() []string {
	var all []string
	for p := range inventory {
		all = append(all, p)
	}
	slices.Sort(all)
	return all
}
