package main

import (
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

func init() { scriptCommands["makeleak"] = makeLeak }

// makeLeak is "makeleak WALK RATE CUES RATE": 20 s of a walk on gravel at 184
// steps/min, and clicks 200 times a minute, as loud as the steps, that are heard
// in it 143 ms after they are played.
func makeLeak(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: makeleak walk rate cues rate")
	}
	const seconds = 20
	rate, err := strconv.Atoi(args[1])
	ts.Check(err)
	cueRate, err := strconv.Atoi(args[3])
	ts.Check(err)
	var starts []float64
	for t := 0.2; t < seconds; t += 60 / 200.0 {
		starts = append(starts, t)
	}
	w := made.Spec{
		Seed: 9, Rate: float64(rate), Duration: seconds,
		Gait:    made.Gait{Cadence: made.Steady(184), JitterCV: 1.5, Start: 1},
		Surface: footsteps.Surface("gravel"),
	}.Walk()
	w = made.Leak{Delay: 0.143, Room: 0.2, RoomDB: -6}.Into(w, made.ClickTrack(starts, w.Rate, seconds), starts, 0)
	ts.Check(audio.WriteWAV(ts.MkAbs(args[0]), rate, 1, audio.S16, w.Samples))
	ts.Check(audio.WriteWAV(ts.MkAbs(args[2]), cueRate, 1, audio.S16, made.ClickTrack(starts, float64(cueRate), seconds)))
}
