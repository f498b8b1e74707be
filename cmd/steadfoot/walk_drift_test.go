package main

import (
	"strings"
	"testing"

	"steadfoot/audio/device"
)

// TestDriftReport: two streams tell what was made up for; one tells a drift only
// where it is certain and does harm.
func TestDriftReport(t *testing.T) {
	for _, c := range []struct {
		stats device.Stats
		want  string
	}{
		{device.Stats{}, ""},
		{device.Stats{Streams: 2}, ""}, // not known yet
		{device.Stats{Streams: 2, Drift: 12.34, DriftSD: 0.5}, "sound: the earphones' clock runs +12.3 ± 0.5 ppm against the microphone's; this was made up for"},
		{device.Stats{Streams: 1, Drift: 0.1, DriftSD: 0.01}, ""},
		{device.Stats{Streams: 1, Drift: 90, DriftSD: 40, DriftFor: 600}, ""},
		{device.Stats{Streams: 1, Drift: -90, DriftSD: 4, DriftFor: 60}, ""},
		{device.Stats{Streams: 1, Drift: -90, DriftSD: 4, DriftFor: 600}, "warning: one device for both, but the earphones' clock runs -90.0 ± 4.0 ppm"},
	} {
		if got := driftReport(c.stats); !strings.HasPrefix(got, c.want) || (c.want == "") != (got == "") {
			t.Errorf("%+v: %q, want %q", c.stats, got, c.want)
		}
	}
}
