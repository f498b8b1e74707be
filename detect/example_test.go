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

// The rows of a waist sensor: time in s, acceleration in any unit.
func ExampleMotion() {
	walk := made.MotionSpec{Seed: 1, Rate: 50, Duration: 30, Gait: made.Gait{Cadence: made.Steady(120), JitterCV: 1}}.Motion()

	d, err := detect.NewMotion(detect.MotionConfig{FirstFoot: detect.Right})
	if err != nil {
		fmt.Println(err)
		return
	}
	var events []detect.Event
	for _, row := range walk.Rows {
		if events, err = d.Feed(events, row.T, row.X, row.Y, row.Z); err != nil {
			fmt.Println(err) // a row that is out of order: it is left out
		}
	}
	events = d.Flush(events)

	var first detect.Step
	steps := 0
	for _, e := range events {
		if e.Kind != detect.KindStep {
			continue
		}
		if steps++; steps == 1 {
			first = e.Step
		}
	}
	fmt.Println("first foot:", first.Side)
	fmt.Println("within two steps of all:", steps >= len(walk.Steps)-2 && steps <= len(walk.Steps)+2)
	// Output:
	// first foot: right
	// within two steps of all: true
}

// What the filter believes of the cadence, looked at once a second.
func ExampleSound_Watch() {
	walk := made.Spec{Seed: 1, Duration: 8, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1}}.Walk()
	d, err := detect.NewSound(detect.SoundConfig{Rate: walk.Rate})
	if err != nil {
		fmt.Println(err)
		return
	}
	edges := []float64{80, 120, 160, 180, 200, 260} // steps/min
	belief := make([]float64, len(edges)-1)
	next := 1.0
	d.Watch(func(i detect.Inside) {
		if i.T < next {
			return
		}
		next += 3
		clear(belief)
		i.Cadences(belief, edges)
		fmt.Printf("%.0f s: %v; 180 to 200 steps/min is believed by more than half: %v\n", i.T, i.State, belief[3] > 0.5)
	})
	d.Feed(nil, walk.Samples)
	// Output:
	// 1 s: not walking; 180 to 200 steps/min is believed by more than half: false
	// 4 s: walking; 180 to 200 steps/min is believed by more than half: true
	// 7 s: walking; 180 to 200 steps/min is believed by more than half: true
}
