package detect

import (
	"fmt"
	"math"
	"reflect"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
)

// walkAt is a made walk of 15 s at 186 steps/min with a little noise.
func walkAt(rate float64) made.Walk {
	return made.Spec{
		Seed: 3, Rate: rate, Duration: 15,
		Gait:   made.Gait{Cadence: made.Steady(186), JitterCV: 1.5, LongRange: 0.3, Unevenness: 2, Start: 0.8},
		Noises: []made.Noise{{Kind: made.Pink, SNR: 15}},
	}.Walk()
}

// feed hands samples over in pieces whose sizes take turns.
func feed(t testing.TB, rate float64, x []float32, pieces ...int) []Event {
	t.Helper()
	s, err := NewSound(SoundConfig{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	var events []Event
	for i := 0; len(x) > 0; i++ {
		n := min(len(x), pieces[i%len(pieces)])
		events = s.Feed(events, x[:n])
		x = x[n:]
	}
	return s.Flush(events)
}

func stepTimes(events []Event) (times []float64) {
	for _, e := range events {
		if e.Kind == KindStep {
			times = append(times, e.Step.T)
		}
	}
	return times
}

// The same events, bit for bit, however the input is cut, and every time.
func TestCutsDoNotMatter(t *testing.T) {
	w := walkAt(48000)
	want := feed(t, w.Rate, w.Samples, len(w.Samples))
	for _, pieces := range [][]int{{1}, {240}, {512}, {7, 4001, 13}, {len(w.Samples)}} {
		if got := feed(t, w.Rate, w.Samples, pieces...); !reflect.DeepEqual(got, want) {
			t.Errorf("pieces of %v samples: %d events, in one piece %d, or they differ", pieces, len(got), len(want))
		}
	}
}

// Nobody sets a level: 60 dB less or more makes no difference.
func TestLevelDoesNotMatter(t *testing.T) {
	w := walkAt(48000)
	want := stepTimes(feed(t, w.Rate, w.Samples, 512))
	for _, gain := range []float32{0.001, 0.03, 30} {
		x := make([]float32, len(w.Samples))
		for i, v := range w.Samples {
			x[i] = gain * v
		}
		got := stepTimes(feed(t, w.Rate, x, 512))
		if r := score.Match(got, want, 0.002); r.F() < 1 {
			t.Errorf("gain %g: %d steps, %d without it, %d of them at the same time", gain, len(got), len(want), r.TP)
		}
	}
}

func TestAnyRate(t *testing.T) {
	for _, rate := range []float64{2000, 8000, 11025, 16000, 22050, 44100, 48000, 96000, 192000} {
		t.Run(fmt.Sprintf("%g Hz", rate), func(t *testing.T) {
			t.Parallel()
			w := walkAt(rate)
			r := score.Match(stepTimes(feed(t, rate, w.Samples, 512)), w.Times(), 0.025)
			if r.F() < 0.98 || math.Abs(r.Bias()) > 0.004 || r.Spread() > 0.005 {
				t.Errorf("F at ±25 ms %.3f, bias %.1f ms, spread %.1f ms", r.F(), 1000*r.Bias(), 1000*r.Spread())
			}
		})
	}
}

func TestRateIsChecked(t *testing.T) {
	for _, rate := range []float64{0, -1, 1999, 400001, math.NaN(), math.Inf(1)} {
		if _, err := NewSound(SoundConfig{Rate: rate}); err == nil {
			t.Errorf("%g Hz is taken", rate)
		}
	}
}

// A rhythm every half second from the first, with the cadence once it is known.
func TestRhythmOfSound(t *testing.T) {
	w := walkAt(48000)
	n, walking := 0, 0
	for _, e := range feed(t, w.Rate, w.Samples, 512) {
		if e.Kind != KindRhythm {
			continue
		}
		n++
		if want := 0.5 * float64(n); e.Rhythm.T != want {
			t.Fatalf("rhythm %d at %g s, want %g", n, e.Rhythm.T, want)
		}
		if e.Rhythm.State == Walking && e.Rhythm.Cadence != 0 {
			walking++
			if math.Abs(e.Rhythm.Cadence-186) > 4 {
				t.Errorf("at %g s: %.1f ± %.1f steps/min, want about 186", e.Rhythm.T, e.Rhythm.Cadence, e.Rhythm.CadenceSD)
			}
		}
	}
	if n != 30 || walking < 20 {
		t.Errorf("%d rhythms in 15 s, want 30; walking in %d, want at least 20", n, walking)
	}
}

// Steps go on over a short hole, and a long one is a gap for its own reason.
func TestSkip(t *testing.T) {
	w := walkAt(48000)
	for _, c := range []struct {
		lost float64 // s
		gap  bool
	}{{0.3, false}, {4, true}} {
		s, _ := NewSound(SoundConfig{Rate: w.Rate})
		from, to := int(6.1*w.Rate), int((6.1+c.lost)*w.Rate)
		events := s.Feed(nil, w.Samples[:from])
		events = s.Skip(events, int64(to-from))
		events = s.Flush(s.Feed(events, w.Samples[to:]))
		gap := false
		for _, e := range events {
			if e.Kind == KindGap && e.Gap.T > 1 && e.Gap.T < 10 {
				gap = true
				if e.Gap.Reason != GapLost {
					t.Errorf("%g s lost: a gap for the reason %q", c.lost, e.Gap.Reason)
				}
			}
		}
		if gap != c.gap {
			t.Errorf("%g s lost: gap %v, want %v", c.lost, gap, c.gap)
		}
		var late []float64
		for _, x := range w.Times() {
			if x > 10.5 {
				late = append(late, x)
			}
		}
		var after []float64
		for _, x := range stepTimes(events) {
			if x > 10.4 {
				after = append(after, x)
			}
		}
		if r := score.Match(after, late, 0.05); r.Recall() < 0.95 {
			t.Errorf("%g s lost: %.2f of the steps afterwards found", c.lost, r.Recall())
		}
	}
}

// Digital zeros are a dead input, not a walker who stands.
func TestDeadInput(t *testing.T) {
	var last State
	for _, e := range feed(t, 48000, make([]float32, 5*48000), 512) {
		switch e.Kind {
		case KindStep:
			t.Errorf("a step in silence at %g s", e.Step.T)
		case KindRhythm:
			last = e.Rhythm.State
		case KindGap:
			if e.Gap.Reason != GapDeaf {
				t.Errorf("gap for the reason %q, want %q", e.Gap.Reason, GapDeaf)
			}
		}
	}
	if last != CannotHear {
		t.Errorf("state %v after 5 s of zeros, want %v", last, CannotHear)
	}
}

func TestBadSamplesCountAsZero(t *testing.T) {
	w := walkAt(48000)
	x := append([]float32(nil), w.Samples...)
	y := append([]float32(nil), w.Samples...)
	for i := 1000; i < len(x); i += 997 {
		x[i], y[i] = float32(math.NaN()), 0
		if i%2 == 0 {
			x[i] = float32(math.Inf(-1))
		}
	}
	if !reflect.DeepEqual(feed(t, w.Rate, x, 512), feed(t, w.Rate, y, 512)) {
		t.Error("NaN and infinities do not count as zeros")
	}
}

// A step is told some 30 ms after its sound has come in, counted in samples.
func TestDelayOfSteps(t *testing.T) {
	w := walkAt(48000)
	s, _ := NewSound(SoundConfig{Rate: w.Rate})
	var delays []float64
	var events []Event
	const block = 240
	for i := 0; i+block <= len(w.Samples); i += block {
		events = s.Feed(events[:0], w.Samples[i:i+block])
		for _, x := range stepTimes(events) {
			if x > 5 {
				delays = append(delays, float64(i+block)/w.Rate-x)
			}
		}
	}
	over := 0
	for _, d := range delays {
		if d > 0.040 {
			over++
		}
	}
	if len(delays) < 25 || over > len(delays)/10 {
		t.Errorf("%d of %d steps told more than 40 ms after their time", over, len(delays))
	}
}

func TestFeedDoesNotAllocate(t *testing.T) {
	w := walkAt(48000)
	s, _ := NewSound(SoundConfig{Rate: w.Rate})
	events := s.Feed(make([]Event, 0, 256), w.Samples)
	// The whole walk is one run: AllocsPerRun rounds the mean down.
	if n := testing.AllocsPerRun(1, func() {
		for x := w.Samples; len(x) >= 512; x = x[512:] {
			events = s.Feed(events[:0], x[:512])
		}
	}); n != 0 {
		t.Errorf("%g allocations in 15 s", n)
	}
}

func BenchmarkSound(b *testing.B) {
	for _, rate := range []float64{8000, 16000, 48000, 96000} {
		w := walkAt(rate)
		b.Run(fmt.Sprintf("%gHz", rate), func(b *testing.B) {
			s, _ := NewSound(SoundConfig{Rate: rate})
			events := s.Feed(make([]Event, 0, 256), w.Samples)
			b.ReportAllocs()
			b.ResetTimer()
			for range b.N {
				for x := w.Samples; len(x) >= 512; x = x[512:] {
					events = s.Feed(events[:0], x[:512])
				}
			}
			seconds := float64(len(w.Samples)) / rate * float64(b.N)
			b.ReportMetric(seconds/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}

// TestSkipForgetsOldSamples: the ring of samples holds silence where input was
// lost, not what was there a memory ago.
func TestSkipForgetsOldSamples(t *testing.T) {
	s, err := NewSound(SoundConfig{Rate: 8000})
	if err != nil {
		t.Fatal(err)
	}
	loud := make([]float32, len(s.past))
	for i := range loud {
		loud[i] = 1
	}
	s.Feed(nil, loud)
	s.Skip(nil, 1000)
	ones := 0
	for _, v := range s.past {
		if v == 1 {
			ones++
		}
	}
	if want := len(loud) - 1000; ones != want {
		t.Errorf("%d samples of before the hole are left, want %d", ones, want)
	}
}
