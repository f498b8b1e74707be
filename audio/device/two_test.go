package device_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device"
)

// A stream for both sides that keeps faltering becomes two, and where that is no
// better, or does not run, it stays one; and nothing goes round in circles.
func TestFalteringStreamIsParted(t *testing.T) {
	for manner, want := range map[string]struct{ streams, restarts int }{
		"falters together":           {2, 1},
		"falters with any number":    {1, 2},
		"falters, and only together": {1, 1},
	} {
		t.Run(manner, func(t *testing.T) {
			t.Parallel()
			for range tries { // a busy machine falters besides
				d := start(t, options(t, "fake", manner))
				s := session{clock: monotonic()}
				var told []string
				s.run(t, d, 14*audio.Rate, func(b audio.Block) {
					if strings.Contains(b.Fault, "stream") {
						told = append(told, b.Fault)
					}
				})
				st := d.Stats()
				d.Close()
				t.Logf("%d streams after %d restarts; told: %q", st.Streams, st.Restarts, told)
				if st.Streams == want.streams && st.Restarts == want.restarts && len(told) == want.restarts {
					return
				}
			}
			t.Errorf("not once %d streams after %d restarts, each told", want.streams, want.restarts)
		})
	}
}

// Two devices get a stream each without being asked for, and what is played stays
// where it belongs although their crystals differ: by 2.4 ms at the end of this. The
// output is far ahead, so that a busy machine does not let it falter.
func TestTwoDevicesGetTwoStreams(t *testing.T) {
	t.Parallel()
	d := start(t, options(t, "fake", "two"))
	const every = 12000
	var in onsets
	fault := walkAhead(t, d, audio.Rate/2, 9, every, func(at int64, v float32) { in.hear(at, v > 0.2) })
	s := d.Stats()
	var off []int64
	for _, at := range in.at {
		if at > audio.Rate && at < fault { // the first second is for learning
			off = append(off, at%every)
		}
	}
	t.Logf("clicks at %v after the beat; fault at %d; %+v", off, fault, s)
	if s.Streams != 2 || len(off) < 25 {
		t.Fatalf("%d streams, %d clicks heard; want 2 and 31", s.Streams, len(off))
	}
	if spread := slices.Max(off) - slices.Min(off); spread > audio.Rate/2000 {
		t.Errorf("the clicks keep their place within %d samples, want 0.5 ms", spread)
	}
	if by := s.Drift - 1e6*fakeDrift; s.DriftSD == 0 || by < -3*s.DriftSD-1 || by > 3*s.DriftSD+1 {
		t.Errorf("drift %.1f ± %.1f ppm, want %.0f", s.Drift, s.DriftSD, 1e6*fakeDrift)
	}
}

// Where the number of streams that suits the devices does not run, the other one
// does.
func TestTheOtherNumberOfStreams(t *testing.T) {
	for manner, want := range map[string]int{
		"two": 2, "well": 1,
		"two, but only together": 1,
		"two, without earphones": 1, // they open, and never call
		"one, but only apart":    2,
	} {
		t.Run(manner, func(t *testing.T) {
			t.Parallel()
			d := start(t, options(t, "fake", manner))
			if err := d.Read(new(audio.Block)); err != nil {
				t.Fatal(err)
			}
			if s := d.Stats(); s.Streams != want {
				t.Errorf("%d streams, want %d", s.Streams, want)
			}
		})
	}
}

// Who asks for a number gets no other one, and what is told is of the number that
// suits the devices.
func TestNumberOfStreamsThatWasAskedFor(t *testing.T) {
	o := options(t, "fake", "two, but only together")
	o.Streams = 2
	if _, err := device.Start(t.Context(), o); err == nil || !strings.Contains(err.Error(), "2 streams do not open") {
		t.Errorf("got %v", err)
	}
	o.Streams = 1
	if s := start(t, o).Stats(); s.Streams != 1 {
		t.Errorf("%d streams, want 1", s.Streams)
	}
}

// Where one of two devices is gone and the other goes on, a new sound process opens
// them again, and the session's clock still tells the time.
func TestOneOfTwoDevicesStops(t *testing.T) {
	for manner, want := range map[string]string{
		"two, whose earphones stop":  "the earphones have stopped: they took no sound for 750 ms; started it again",
		"two, whose microphone stop": "the sound process gave nothing for 750ms; started it again",
	} {
		t.Run(manner, func(t *testing.T) {
			t.Parallel()
			d := start(t, options(t, "fake", manner))
			s := session{clock: monotonic()}
			before := s.run(t, d, audio.Rate, func(audio.Block) {})
			fault, at := "", 0.0
			for fault == "" && s.next < 8*audio.Rate {
				s.run(t, d, 1, func(b audio.Block) {
					if strings.Contains(b.Fault, "started it again") {
						fault, at = b.Fault, float64(b.Index)/audio.Rate
					}
				})
			}
			t.Logf("%.2f s: %s", at, fault)
			if !strings.HasPrefix(fault, want) {
				t.Errorf("told %q, want %q", fault, want)
			}
			after := s.run(t, d, audio.Rate/2, func(audio.Block) {})
			if off := after - before; off < -100*time.Millisecond || off > 100*time.Millisecond {
				t.Errorf("the clock is off by %v", off)
			}
		})
	}
}
