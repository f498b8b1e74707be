package main

import (
	"fmt"

	"steadfoot/audio/device"
)

// drift says how the clocks of microphone and earphones run against each other, "" where
// one of them is closed or nothing is known.
func drift(s device.Stats) string {
	if s.Streams == 0 || s.DriftSD == 0 {
		return ""
	}
	return fmt.Sprintf("the earphones' clock runs %+.1f ± %.1f ppm against the microphone's", s.Drift, s.DriftSD)
}

// driftReport is the line a walk ends with about it; "" where there is nothing to say.
func driftReport(s device.Stats) string {
	switch words := drift(s); {
	case s.TwoClocks():
		return "warning: one device for both, but " + words + ": the sound falters now and then, until each side gets a stream; --streams 2 does so at once"
	case s.Streams == 2 && words != "":
		return "sound: " + words + "; this was made up for"
	}
	return ""
}
