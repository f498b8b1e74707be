package device_test

import (
	"slices"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
)

// Two devices of a real sound server get a stream and a thread each: the clicks
// that are played to one are heard by the other at a constant place of the session.
func TestTwoPulseDevicesShareTheSession(t *testing.T) {
	srv := virtual.Pulse(t)
	srv.Use()
	name, conf, _ := strings.Cut(virtual.TwoDevices(t, "ear.monitor", "ear"), "=")
	t.Setenv(name, conf)
	o := options(t, "sound-process")
	o.Input, o.Output = "ALSA: one", "ALSA: two"
	const every = 12000
	for range tries {
		d := start(t, o)
		var in onsets
		fault := walk(t, d, 6, every, func(at int64, v float32) { in.hear(at, v > 0.2) })
		s := d.Stats()
		d.Close()
		if s.Streams != 2 || s.Input == s.Output {
			t.Fatalf("%d streams, %s and %s", s.Streams, s.Input, s.Output)
		}
		var off []int64
		for _, at := range in.at {
			if at > audio.Rate && at < fault { // the first second is for learning
				off = append(off, at%every)
			}
		}
		t.Logf("clicks at %v after the beat; fault at %d; %d missing, %d late; round trip %.1f ms, drift %.1f ± %.1f ppm, clock %+v",
			off, fault, s.Missing, s.Late, 1e3*s.RoundTrip, s.Drift, s.DriftSD, s.Clock)
		if len(off) < 8 {
			continue
		}
		if spread := slices.Max(off) - slices.Min(off); spread <= audio.Rate/1000 {
			return
		}
	}
	t.Errorf("no run in %d tries whose clicks kept their place within 1 ms", tries)
}
