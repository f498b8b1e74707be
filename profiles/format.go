package profiles

import (
	"slices"

	"github.com/pelletier/go-toml/v2"
)

// Format writes a as a profile that [Parse] reads back to the same Athlete. The
// Athlete must be one that Parse could have given.
func Format(a Athlete) []byte {
	f := file{
		Name:        a.Name,
		Volume:      a.Volume,
		LatencyMS:   a.LatencyMS,
		LevelAtFull: a.LevelAtFull,
		FirstFoot:   string(a.FirstFoot),
		Band:        &fileBand{Slow: &a.Band.Slow, Quick: &a.Band.Quick, Unit: unitSteps},
		Beat:        beatInFile(a.Beat),
		Cues:        fileCues(a.Cues),
	}
	if a.Band.Percent {
		f.Band.Unit = unitPercent
	}
	f.Measured = a.Measured
	switch own := MeasuredCurve(a.Measured); {
	case slices.Equal(own, a.StepLength): // follows from the measurements, or there is none
	case len(a.StepLength) == 1:
		f.StepLength = &a.StepLength[0].Length
	default:
		f.StepLengths = a.StepLength
	}
	switch {
	case a.Target.Cadence != 0:
		f.Target = &fileTarget{Cadence: &a.Target.Cadence}
	case a.Target.Pace != 0:
		pace := writePace(a.Target.Pace)
		f.Target = &fileTarget{Pace: &pace}
	}
	out, err := toml.Marshal(f)
	if err != nil {
		panic("profiles: " + err.Error()) // file holds only text, numbers and tables
	}
	return out
}

func beatInFile(b Beat) fileBeat {
	return fileBeat{
		On: b.On, Mode: b.Mode, Foot: string(b.Foot), Every: b.Every,
		Accent: b.Accent, Recoveries: b.Recoveries, AheadMS: b.AheadMS,
	}
}
