package detect_test

import (
	"fmt"
	"math"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// The steps of a recording, handed over in blocks as a microphone would.
func ExampleSound() {
	walk := made.Spec{
		Seed: 1, Duration: 20,
		Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1, Start: 1},
	}.Walk()

	d, err := detect.NewSound(detect.SoundConfig{Rate: walk.Rate})
	if err != nil {
		fmt.Println(err)
		return
	}
	steps, cadence := 0, 0.0
	look := func(events []detect.Event) {
		for _, e := range events {
			switch e.Kind {
			case detect.KindStep:
				steps++
			case detect.KindRhythm:
				if e.Rhythm.State == detect.Walking {
					cadence = e.Rhythm.Cadence
				}
			}
		}
	}
	events := make([]detect.Event, 0, 64) // kept, so that Feed allocates nothing
	for x := walk.Samples; len(x) > 0; {
		n := min(512, len(x))
		events = d.Feed(events[:0], x[:n])
		look(events)
		x = x[n:]
	}
	look(d.Flush(events[:0]))

	fmt.Println("all steps found:", steps == len(walk.Steps))
	fmt.Println("cadence about", 5*math.Round(cadence/5), "steps/min")
	// Output:
	// all steps found: true
	// cadence about 190 steps/min
}
