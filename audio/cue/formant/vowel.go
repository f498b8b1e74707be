package formant

// Speaker is whose formants a table has.
type Speaker int

// The speakers of the table.
const (
	Men Speaker = iota
	Women
)

// Vowel is one vowel in the mean of many speakers: pitch and first three
// formants, in Hz.
type Vowel struct {
	Symbol   string // IPA
	Word     string // that has it
	Pitch    [2]float64
	Formants [2][3]float64 // by Speaker
}

// Vowels are the ten of Peterson and Barney (1952, JASA 24:175): means of their
// 1520 tokens as distributed with Praat (dwtools/Table_dataSets.cpp).
var Vowels = []Vowel{
	{"i", "heed", [2]float64{136, 231}, [2][3]float64{{267, 2294, 2937}, {310, 2783, 3312}}},
	{"ɪ", "hid", [2]float64{136, 232}, [2][3]float64{{392, 1993, 2569}, {441, 2474, 3063}}},
	{"ɛ", "head", [2]float64{128, 220}, [2][3]float64{{526, 1854, 2481}, {608, 2334, 2999}}},
	{"æ", "had", [2]float64{125, 208}, [2][3]float64{{664, 1727, 2420}, {863, 2049, 2832}}},
	{"ʌ", "hud", [2]float64{129, 223}, [2][3]float64{{631, 1192, 2377}, {758, 1409, 2768}}},
	{"ɑ", "hod", [2]float64{124, 212}, [2][3]float64{{718, 1091, 2442}, {864, 1229, 2783}}},
	{"ɔ", "hawed", [2]float64{127, 217}, [2][3]float64{{568, 836, 2403}, {587, 915, 2736}}},
	{"ʊ", "hood", [2]float64{136, 234}, [2][3]float64{{437, 1023, 2245}, {469, 1162, 2685}}},
	{"u", "who'd", [2]float64{139, 235}, [2][3]float64{{307, 876, 2239}, {378, 961, 2666}}},
	{"ɝ", "heard", [2]float64{133, 219}, [2][3]float64{{489, 1360, 1709}, {503, 1641, 1977}}},
}
