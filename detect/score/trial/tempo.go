package trial

import (
	"fmt"

	"steadfoot/detect/made"
)

// TempoGroup begins the groups in which half and double tempo are looked for.
const TempoGroup = "from 90 to 230"

// Tempos are walks of 20 s at 90, 90+step and so on to 230 steps/min that invite
// half and double tempo: with both feet alike, with a forefoot as loud as the
// heel, and with one foot 12 dB quieter than the other.
func Tempos(step float64) []Case {
	var plain, fore, quiet []Case
	i := 0
	for c := 90.0; c <= 230; c += step {
		s := walker(400+i, made.Steady(c))
		s.Duration = 20
		plain = append(plain, tempo("", c, s))
		f := s
		f.ForefootGap = []float64{0.050, 0.070, 0.090, 0.110}[i%4]
		if i%2 == 1 {
			f.ForefootGap, f.Surface = 0, made.HeelAndForefoot(f.ForefootGap)
		}
		fore = append(fore, tempo(", heel and forefoot alike", c, f))
		s.LevelBetween = []float64{12, -12}[i%2]
		quiet = append(quiet, tempo(", one foot 12 dB quieter", c, s))
		i++
	}
	return append(append(plain, fore...), quiet...)
}

func tempo(kind string, cadence float64, s made.Spec) Case {
	name := fmt.Sprintf("%g steps/min%s, %s", cadence, kind, s.Surface.Name)
	return Case{Group: TempoGroup + kind, Name: name, Spec: s}
}
