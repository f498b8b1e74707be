package cue

// A word is what the speech layer says for a cue: a short word that fits it, in
// the phones of package formant, with a pitch contour in Hz that tells as much
// as the word does. Words differ in their number of syllables, their vowels and
// their contour; that they do is measured in the tests.
type word struct {
	text   string
	phones string
	pitch  []float64
	slow   float64 // stretches it beyond pace; 0 is 1
}

// pace stretches all words: slower than talk, to be heard over steps and wind.
const pace = 1.2

// words has the cues that are said in one word. Up is for more, down for less or
// for an end, level for keep on.
var words = map[Sound]word{
	Start:     {"let's go", "l ɛ t s g oʊ", []float64{130, 125, 175, 120}, 0},
	End:       {"all done", "ɔ l d ʌ n", []float64{150, 130, 85}, 1.2},
	Quicken:   {"faster", "f æ s t ɝ", []float64{115, 145, 220}, 0},
	Ease:      {"easy", "i z i", []float64{200, 140, 90}, 1.2},
	Settled:   {"good", "g ʊ d", []float64{150, 110}, 1.2},
	Hold:      {"steady", "s t ɛ d i", []float64{135}, 1.1},
	Fade:      {"fading", "f eɪ d ɪ ŋ", []float64{165, 135, 85}, 1.2},
	Uneven:    {"uneven", "ʌ n i v ə n", []float64{110, 190, 110}, 1.1},
	Lost:      {"can't hear you", "k æ n t h ɪ r j u", []float64{120, 130, 200}, 0},
	Back:      {"got you", "g ɑ t j u", []float64{125, 190, 120}, 1.1},
	RepStart:  {"go", "g oʊ", []float64{210, 120}, 1.5},
	HalfWay:   {"half way", "h æ f w eɪ", []float64{160, 150, 120}, 0},
	LastPart:  {"nearly there", "n ɪ r l i ð ɛ r", []float64{115, 140, 205}, 0},
	RepEnd:    {"rep over", "r ɛ p oʊ v ɝ", []float64{170, 140, 85}, 1.1},
	Recovered: {"get ready", "g ɛ t r ɛ d i", []float64{115, 130, 160, 205}, 0},
	Fault:     {"trouble", "t r ʌ b ə l", []float64{170, 105, 170}, 1.1},
	Paused:    {"paused", "p ɔ z d", []float64{150, 95}, 1.2},
	Resumed:   {"walk on", "w ɔ k ɑ n", []float64{115, 180}, 1.1},
	Lap:       {"lap", "l æ p", []float64{160, 140}, 1.1},
	Muted:     {"muted", "m j u t ɪ d", []float64{175, 95}, 1.2},
	Quiet:     {"too soft", "t u s ɔ f t", []float64{110, 150, 215}, 1.1},
	Loud:      {"too loud", "t u l aʊ d", []float64{205, 150, 90}, 1.1},
	Wind:      {"windy", "w ɪ n d i", []float64{120, 195, 120}, 1.1},
	Battery:   {"battery", "b æ t r i", []float64{190, 150, 90}, 1.1},
}

// digits are 0 to 9.
var digits = [10]string{
	"z ɪ r oʊ", "w ʌ n", "t ʉu", "θ r i", "f ɔ r",
	"f aɪ v", "s ɪ k s", "s ɛ v ə n", "eɪ t", "n aɪ n",
}

// The pitch of a digit tells whether another follows, as in a spoken figure.
var (
	goingOn = []float64{130, 145}
	closing = []float64{140, 95}
)
