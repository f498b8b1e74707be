package trial

import (
	"fmt"

	"steadfoot/detect/made"
)

// The groups of walks beside which something else keeps a rhythm, or is loud.
const (
	OneOtherGroup = "one other as loud, from 10 s on"
	MachineGroup  = "beside a machine"
	LevelGroup    = "steps at "
)

// joins is when the other walker comes, s.
const joins = 10

// OneOthers are walks that another walker joins after 10 s, on the same ground
// and as loud, at a cadence 6 to 16 % away.
func OneOthers(each int) []Case {
	var cases []Case
	for i := range each {
		c := cadences[i%len(cadences)]
		other := c * []float64{1.06, 0.92, 1.16, 0.88}[i%4]
		s := walker(160+5*i, made.Steady(c))
		s.Noises = []made.Noise{{Kind: made.Crowd, Count: 1, Beat: made.Steady(other), From: joins}}
		one := numbered(OneOtherGroup, i, s)
		one.Name += fmt.Sprintf(", %.0f beside %.0f", c, other)
		one.Joined = joins
		cases = append(cases, one)
	}
	return cases
}

// BesideMachines are walks beside a drum loop and a sewing machine, 6 dB below
// the steps.
func BesideMachines(each int) []Case {
	var cases []Case
	for i := range each {
		for k, kind := range []made.Kind{made.Drums, made.Sewing} {
			s := walker(180+5*i, made.Steady(cadences[i%len(cadences)]))
			s.Noises = []made.Noise{{Kind: kind, SNR: 6, Beat: made.Steady([]float64{124, 320}[k])}}
			one := numbered(fmt.Sprintf("%s: %s 6 dB below", MachineGroup, kind), i, s)
			cases = append(cases, one)
		}
	}
	return cases
}

// Levels are the same walks at levels 30 dB apart, 60 dB in all.
func Levels(each int) []Case {
	var cases []Case
	for _, level := range []float64{-20, -50, -80} {
		for i := range each {
			s := walker(190+5*i, made.Steady(cadences[i%len(cadences)]))
			s.Level = level
			cases = append(cases, numbered(fmt.Sprintf("%s%g dB re full scale", LevelGroup, level), i, s))
		}
	}
	return cases
}
