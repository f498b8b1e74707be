package trial

import (
	"fmt"

	"steadfoot/detect/made"
)

// The groups that have bars of their own.
const (
	CleanGroup  = "clean"
	SoftGroup   = "soft surfaces"
	OthersGroup = "three others at -10 dB"
	NobodyGroup = "nobody: "  // with what is heard instead
	MachineName = "machine, " // begins what is heard instead and keeps a beat
)

// Clean are walks without noise, from 90 to 230 steps/min, steady and changing.
func Clean() []Case {
	var cases []Case
	for i, c := range []float64{90, 100, 110, 120, 130, 140, 150, 160, 170, 180, 190, 200, 210, 220, 230} {
		cases = append(cases, numbered(CleanGroup, i, walker(i, made.Steady(c))))
	}
	for i, c := range []made.Curve{
		made.Ramp(150, 230, 3, 27),
		made.Ramp(130, 95, 3, 27),
		made.Jumps(184, made.Point{T: 10, V: 202}, made.Point{T: 20, V: 184}),
		made.Points(made.Point{T: 0, V: 205}, made.Point{T: 12, V: 204}, made.Point{T: 30, V: 188}),
	} {
		cases = append(cases, numbered("clean, changing", i, walker(i, c)))
	}
	return cases
}

// noises are the kinds of noise, as they are named in groups.
var noises = []struct {
	name  string
	noise made.Noise
}{
	{"pink", made.Noise{Kind: made.Pink}},
	{"white", made.Noise{Kind: made.White}},
	{"wind", made.Noise{Kind: made.Wind}},
	{"breath 2:2", made.Noise{Kind: made.Breath, Cycle: 4}},
	{"breath 3:3", made.Noise{Kind: made.Breath, Cycle: 6}},
	{"voices", made.Noise{Kind: made.Voices}},
	{"traffic", made.Noise{Kind: made.Traffic}},
	{"rustle", made.Noise{Kind: made.Rustle}},
}

// cadences are those of the walks under conditions, steps/min.
var cadences = []float64{184, 205, 120, 165, 222, 196}

// Noisy are walks, each walks of a kind, with every kind of noise at an SNR in
// dB. The group is the noise and the SNR.
func Noisy(snr float64, each int) []Case {
	var cases []Case
	for k, n := range noises {
		for i := range each {
			s := walker(20+k+3*i, made.Steady(cadences[(k+i)%len(cadences)]))
			noise := n.noise
			noise.SNR = snr
			s.Noises = []made.Noise{noise}
			cases = append(cases, numbered(fmt.Sprintf("%s %+g dB", n.name, snr), i, s))
		}
	}
	return cases
}

// Soft are walks on surfaces without a sharp start, each walks of a kind, in pink
// noise at an SNR in dB. The group is SoftGroup and the SNR.
func Soft(snr float64, each int) []Case {
	var cases []Case
	for i := range each {
		s := walker(60+5*i, made.Steady(cadences[i%len(cadences)]))
		s.Surface = surface(soft, i)
		s.Noises = []made.Noise{{Kind: made.Pink, SNR: snr}}
		cases = append(cases, numbered(fmt.Sprintf("%s, pink %+g dB", SoftGroup, snr), i, s))
	}
	return cases
}

// Rustling are walks without noise on surfaces without a sharp start, each walks
// on every one.
func Rustling(each int) []Case {
	var cases []Case
	for k := range len(soft) + 1 {
		for i := range each {
			s := walker(60+5*(k+i), made.Steady(cadences[(k+i)%len(cadences)]))
			s.Surface = made.Rustling()
			if k < len(soft) {
				s.Surface = surface(soft, k)
			}
			cases = append(cases, numbered(SoftGroup, i, s))
		}
	}
	return cases
}

// Hard are clean walks that are hard to follow for other reasons, each walks of
// a kind.
func Hard(each int) []Case {
	var cases []Case
	for _, h := range []struct {
		group  string
		change func(*made.Spec, int)
	}{
		{"1 step in 20 silent", func(s *made.Spec, i int) { s.Missed = 0.05 }},
		{StandGroup, func(s *made.Spec, i int) { s.Pauses = [][2]float64{{12, 18}} }},
		{"phone microphone", func(s *made.Spec, i int) { s.Mic = made.Phone }},
		{"earbud", func(s *made.Spec, i int) { s.Mic = made.Earbud }},
		{"level drifts 20 dB", func(s *made.Spec, i int) { s.Gain = made.Ramp(0, -20, 5, 25) }},
		{"clipped by 12 dB", func(s *made.Spec, i int) { s.ClipDB = 12 }},
		{"automatic gain", func(s *made.Spec, i int) { s.AGC = true }},
		{OthersGroup, func(s *made.Spec, i int) { s.Noises = []made.Noise{{Kind: made.Crowd, SNR: 10}} }},
	} {
		for i := range each {
			s := walker(60+5*i, made.Steady(cadences[i%len(cadences)]))
			h.change(&s, i)
			cases = append(cases, numbered(h.group, i, s))
		}
	}
	return cases
}
