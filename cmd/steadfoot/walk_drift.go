package main

import (
	"fmt"
	"math"

	"steadfoot/audio/device"
)

const (
	driftSure  = 10.0 // standard errors from which a drift is there: young ones are too small
	driftLeast = 20.0 // ppm that matter: some 35 ms of buffer last half an hour
)

// drift says how the clocks of microphone and earphones run against each other, "" where
// one of them is closed or nothing is known.
func drift(s device.Stats) string {
	if s.Streams == 0 || s.DriftSD == 0 {
		return ""
	}
	return fmt.Sprintf("the earphones' clock runs %+.1f ± %.1f ppm against the microphone's", s.Drift, s.DriftSD)
}

// hiddenDrift tells whether one device hides two with clocks of their own, whose
// buffers will run full or dry.
func hiddenDrift(s device.Stats) bool {
	return s.Streams == 1 && s.DriftSD > 0 && math.Abs(s.Drift) > max(driftLeast, driftSure*s.DriftSD)
}

// driftReport is the line a walk ends with about it; "" where there is nothing to say.
func driftReport(s device.Stats) string {
	switch words := drift(s); {
	case hiddenDrift(s):
		return "warning: one device for both, but " + words + ": the sound falters now and then; walk with --streams 2"
	case s.Streams == 2 && words != "":
		return "sound: " + words + "; this was made up for"
	}
	return ""
}
