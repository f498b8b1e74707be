package trial

import "steadfoot/detect/made"

// Nobody are stretches in which nobody walks, so many seconds of each.
func Nobody(seconds float64) []Case {
	return []Case{
		nobody(seconds, "silence"),
		nobody(seconds, "white", made.Noise{Kind: made.White}),
		nobody(seconds, "pink", made.Noise{Kind: made.Pink}),
		nobody(seconds, "wind", made.Noise{Kind: made.Wind}),
		nobody(seconds, "traffic", made.Noise{Kind: made.Traffic}),
		nobody(seconds, "one voice", made.Noise{Kind: made.Voices, Count: 1}),
		nobody(seconds, "voices", made.Noise{Kind: made.Voices, Count: 4}),
		nobody(seconds, "typing", made.Noise{Kind: made.Typing}),
		nobody(seconds, "water", made.Noise{Kind: made.Water}),
		nobody(seconds, "one clap", made.Noise{Kind: made.Clap}),
	}
}

// Machines are stretches in which nobody walks but a machine keeps a beat, which
// may pass for a walk.
func Machines(seconds float64) []Case {
	return []Case{
		nobody(seconds, MachineName+"drum loop, 124/min", made.Noise{Kind: made.Drums, Beat: made.Steady(124)}),
		nobody(seconds, MachineName+"sewing, 150/min", made.Noise{Kind: made.Sewing, Beat: made.Steady(150)}),
		nobody(seconds, MachineName+"sewing, 320/min", made.Noise{Kind: made.Sewing, Beat: made.Steady(320)}),
	}
}

func nobody(seconds float64, name string, noise ...made.Noise) Case {
	s := made.Spec{Seed: 7, Duration: seconds, Noises: noise}
	return Case{Group: NobodyGroup + name, Name: name, Spec: s}
}
