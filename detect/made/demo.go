package made

// DemoTarget is the cadence the walker of the demo means to hold, steps/min.
const DemoTarget = 192

// Demo is the walk of the demo: Mira Tal of the Harrow Vale Walkers does a
// lap and a half of the track on a breezy evening. She stands for three
// seconds, sets off at 182, is brought up to 192, drifts down again on the far
// bend and comes back. It is about three minutes long. steps is what her shoes
// sound like; nil is a made sound.
func Demo(steps *Surface) Spec {
	return Spec{
		Seed: 192, Duration: 180,
		Gait: Gait{
			Cadence: Points(
				Point{3, 182}, Point{25, 182}, // below target
				Point{45, 192}, Point{85, 192.5}, // brought up
				Point{105, 183.5}, Point{125, 183}, // drifts
				Point{142, 192}, Point{180, 192}, // and comes back
			),
			JitterCV: 1.5, LongRange: 0.3, Unevenness: 1.2, Start: 3,
		},
		Surface: steps, LevelJitter: 1.5, LevelBetween: 0.8,
		Noises: []Noise{
			{Kind: Wind, SNR: 9},
			{Kind: Breath, SNR: 12},
			{Kind: Traffic, SNR: 15},
		},
	}
}
