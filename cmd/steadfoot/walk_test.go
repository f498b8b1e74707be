package main

import (
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

func init() {
	scriptCommands["makewalk"] = makeWalk
	scriptCommands["sleep"] = sleepFor
	scriptCommands["grows"] = waitUntilThere
}

// makeWalk is "makewalk FILE CADENCE SECONDS": a walk on gravel in a light wind,
// at 48 kHz, that starts at 1 s. CADENCE is in steps/min, or FROM-TO: it changes
// half way.
func makeWalk(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: makewalk file cadence seconds")
	}
	seconds, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	var curve made.Curve
	if len(args[1]) == 7 {
		from, err := strconv.ParseFloat(args[1][:3], 64)
		ts.Check(err)
		to, err := strconv.ParseFloat(args[1][4:], 64)
		ts.Check(err)
		curve = made.Jumps(from, made.Point{T: seconds / 2, V: to})
	} else {
		c, err := strconv.ParseFloat(args[1], 64)
		ts.Check(err)
		curve = made.Steady(c)
	}
	w := made.Spec{
		Seed: 7, Duration: seconds,
		Gait:    made.Gait{Cadence: curve, JitterCV: 1.5, Start: 1},
		Surface: footsteps.Surface("gravel"),
		Noises:  []made.Noise{{Kind: made.Wind, SNR: 12}},
	}.Walk()
	ts.Check(audio.WriteWAV(ts.MkAbs(args[0]), int(w.Rate), 1, audio.S16, w.Samples))
}

// sleepFor is "sleep 1.5s".
func sleepFor(ts *testscript.TestScript, neg bool, args []string) {
	d, err := time.ParseDuration(args[0])
	ts.Check(err)
	time.Sleep(d)
}

// waitUntilThere is "grows FILE": it waits for a file to have something in it.
func waitUntilThere(ts *testscript.TestScript, neg bool, args []string) {
	for range 600 {
		if st, err := os.Stat(filepath.Clean(ts.MkAbs(args[0]))); err == nil && st.Size() > 0 {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	ts.Fatalf("%s stays empty", args[0])
}
