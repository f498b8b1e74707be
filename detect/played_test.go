package detect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"steadfoot/detect/made"
)

// beat is when the clicks of a beat start, s, from 0.1 s on.
func beat(perMinute, seconds float64) (starts []float64) {
	for t := 0.1; t < seconds; t += 60 / perMinute {
		starts = append(starts, t)
	}
	return starts
}

// leaking is a walk at 186 steps/min with the clicks of a beat at 200 in it.
func leaking(rate, seconds float64, path made.Leak) made.Walk {
	w := made.Spec{Seed: 5, Rate: rate, Duration: seconds, Gait: made.Gait{Cadence: made.Steady(186), JitterCV: 2, Start: 0.7}}.Walk()
	starts := beat(200, seconds)
	return path.Into(w, made.ClickTrack(starts, rate, seconds), starts, 0)
}

// feedPlayed runs a detector over a walk in pieces of a size. What was played is
// told so many samples ahead.
func feedPlayed(t *testing.T, w made.Walk, size, ahead int) (*Sound, []Event) {
	t.Helper()
	s, err := NewSound(SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	var events []Event
	told := 0
	for fed := 0; fed < len(w.Samples); fed += size {
		if to := min(fed+size+ahead, len(w.Played)); to > told {
			s.Played(w.Played[told:to])
			told = to
		}
		events = s.Feed(events, w.Samples[fed:min(fed+size, len(w.Samples))])
	}
	return s, s.Flush(events)
}

// TestNothingLeaks: where what is played is not heard, telling it changes
// nothing, to the bit; also when it is in step with the walker.
func TestNothingLeaks(t *testing.T) {
	const rate, seconds = 16000, 15
	for _, noises := range [][]made.Noise{nil, {{Kind: made.Voices, SNR: 3}}} {
		w := made.Spec{Seed: 5, Rate: rate, Duration: seconds, Gait: made.Gait{Cadence: made.Steady(186), JitterCV: 2, Start: 0.7}, Noises: noises}.Walk()
		_, want := feedPlayed(t, w, 480, 0)
		var onStep []float64
		for _, at := range w.Times() {
			onStep = append(onStep, at-0.1)
		}
		for what, played := range map[string][]float32{
			"at another tempo": made.ClickTrack(beat(200, seconds), rate, seconds),
			"with every step":  made.ClickTrack(onStep, rate, seconds),
			"silence":          make([]float32, len(w.Samples)),
			"words":            made.SpokenTrack(1, onStep, rate, seconds),
		} {
			w.Played = played
			if _, got := feedPlayed(t, w, 480, 0); !reflect.DeepEqual(got, want) {
				t.Errorf("%v, played %s: other events, %d instead of %d", noises, what, len(got), len(want))
			}
		}
	}
}

// TestLeakIsFound: delay and gain of the path, at several rates.
func TestLeakIsFound(t *testing.T) {
	for i, delay := range []float64{0, 0.020, 0.0713, 0.150, 0.290, 0.300} {
		rate := []float64{48000, 16000, 44100}[i%3]
		w := leaking(rate, 8, made.Leak{Delay: delay, DB: float64(5 - 5*(i%4))})
		s, _ := feedPlayed(t, w, 512, 0)
		// The path is the ratio of any sample to the played one; the steps begin later.
		at := int(0.1 * rate)
		var in, out float64
		for k := at; k < at+int(0.02*rate); k++ {
			in += float64(w.Played[k]) * float64(w.Played[k])
			out += float64(w.Samples[k+int(math.Round(delay*rate))]) * float64(w.Samples[k+int(math.Round(delay*rate))])
		}
		l, ok := s.Leak()
		if !ok || math.Abs(l.Delay-delay) > 0.002 {
			t.Errorf("%g Hz: found %v a delay of %.4f s, want %.4f s", rate, ok, l.Delay, delay)
		}
		if gain := 10 * math.Log10(out/in); math.Abs(l.Gain-gain) > 1 {
			t.Errorf("%g Hz, %g s: gain %.2f dB, want %.2f dB", rate, delay, l.Gain, gain)
		}
	}
}

// TestPlayedInPieces: how the samples are cut, and how far ahead it is told what
// is played, does not matter.
func TestPlayedInPieces(t *testing.T) {
	w := leaking(16000, 8, made.Leak{Delay: 0.1})
	_, want := feedPlayed(t, w, 480, 0)
	if n := len(want); n < 20 {
		t.Fatalf("%d events", n)
	}
	for _, c := range [][2]int{{77, 0}, {1000, 5000}, {480, 31000}} {
		if _, got := feedPlayed(t, w, c[0], c[1]); !reflect.DeepEqual(got, want) {
			t.Errorf("pieces of %d, told %d ahead: other events", c[0], c[1])
		}
	}
}

// TestPlayedOutOfTime: what is told too late or too early counts as silence, but
// the clocks stay together, also over lost input; no sample breaks anything.
func TestPlayedOutOfTime(t *testing.T) {
	w := leaking(16000, 12, made.Leak{Delay: 0.1})
	s, err := NewSound(SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	var events []Event
	told, fed := 0, 0
	step := func(tell, feed int) {
		s.Played(w.Played[told : told+tell])
		told += tell
		events = s.Feed(events[:0], w.Samples[fed:fed+feed])
		fed += feed
	}
	step(0, 16000)     // late
	step(16000*7, 100) // 6 s ahead
	for fed < 16000*7 {
		step(0, 100)
	}
	events = s.Skip(events[:0], 8000)
	fed += 8000
	s.Played([]float32{float32(math.NaN()), float32(math.Inf(1))})
	told += 2
	step(fed-told, 0)
	for fed+160 < len(w.Samples) && told+160 < len(w.Played) {
		step(160, 160)
	}
	if l, ok := s.Leak(); !ok || math.Abs(l.Delay-0.1) > 0.002 {
		t.Errorf("found %v a delay of %.4f s, want 0.1 s", ok, l.Delay)
	}
}

// TestPlayedAtAnyRate: the least and the highest rate, and odd ones.
func TestPlayedAtAnyRate(t *testing.T) {
	for _, rate := range []float64{2000, 2345, 11025, 400000} {
		w := leaking(rate, 3, made.Leak{Delay: 0.05})
		s, _ := feedPlayed(t, w, 333, 0)
		if l, ok := s.Leak(); rate > 4000 && (!ok || math.Abs(l.Delay-0.05) > 0.003) {
			t.Errorf("%g Hz: found %v a delay of %.4f s, want 0.05 s", rate, ok, l.Delay)
		}
	}
}

// TestPlayedAllocatesNothing after the first call.
func TestPlayedAllocatesNothing(t *testing.T) {
	w := leaking(48000, 6, made.Leak{Delay: 0.1})
	s, err := NewSound(SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	s.Played(nil)
	events := make([]Event, 0, 256)
	if n := testing.AllocsPerRun(1, func() {
		for k := 0; k+512 <= len(w.Samples); k += 512 {
			s.Played(w.Played[k : k+512])
			events = s.Feed(events[:0], w.Samples[k:k+512])
		}
	}); n != 0 {
		t.Errorf("%g allocations in 6 s", n)
	}
	if _, ok := s.Leak(); !ok {
		t.Error("no leak was found: nothing is proven")
	}
}

// TestLeakAtTheFullRate: what was taken out at the halved rate is the leak at
// the rate of the input again, in its place.
func TestLeakAtTheFullRate(t *testing.T) {
	for _, rate := range []float64{16000, 48000, 96000, 192000} {
		s, err := NewSound(SoundConfig{Rate: rate})
		if err != nil {
			t.Fatal(err)
		}
		p := newPlayed(s)
		tone := func(k int64) float64 { return math.Sin(2 * math.Pi * 1000 * float64(k) / rate) }
		hop := make([]float64, s.hop)
		for n := int64(0); n < int64(rate); n += int64(s.hop) {
			for i := range hop {
				hop[i] = tone(n + int64(i))
			}
			p.leak.add(s.halve.run(hop[:s.hop]))
			hop = hop[:s.hop]
		}
		const from = 4001
		x := make([]float32, len(s.clip))
		for i := range x {
			x[i] = float32(tone(from + int64(i)))
		}
		p.clean(x, from)
		for i, v := range x {
			if math.Abs(float64(v)) > 0.01 {
				t.Fatalf("%g Hz: %.4f is left at sample %d of a tone of amplitude 1", rate, v, i)
			}
		}
	}
}

// TestVeil: a band that only the leak may have raised stays where it was; one
// that rises by more is heard.
func TestVeil(t *testing.T) {
	b := newBands(24000, 480, 120)
	v := newVeil(b, 120)
	level, left := make([]float64, len(b.level)), make([]float64, 129)
	rise := func(dB float64) float64 {
		for i := range level {
			level[i] = dB
		}
		v.over(level, left)
		return level[10]
	}
	if got := rise(-60); got != -60 {
		t.Errorf("level %g dB without a leak, want -60", got)
	}
	for i := range left {
		left[i] = 1e-4 // -40 dB, and -44 dB under the window
	}
	for range windowHops { // until it fills the window
		rise(-60)
	}
	if got := rise(-44); got != -60 {
		t.Errorf("level %g dB with a leak as loud, want -60", got)
	}
	if got := rise(-20); math.Abs(got+20) > 0.1 {
		t.Errorf("level %g dB with a leak 20 dB below, want -20", got)
	}
}

// TestSamples compares with gonum's transform.
func TestSamples(t *testing.T) {
	noise := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{8, 32, 256, 512} {
		x, got := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = noise.NormFloat64()
		}
		c := fourier.NewFFT(n).Coefficients(nil, x)
		want := fourier.NewFFT(n).Sequence(nil, c)
		newSpectrum(n).samples(got, c)
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-9*float64(n) {
				t.Fatalf("n = %d: sample %d is %g, want %g", n, i, got[i], want[i])
			}
		}
	}
}

func BenchmarkPlayed(b *testing.B) {
	noise := rand.New(rand.NewPCG(1, 2))
	for _, what := range []string{"clicks", "noise"} {
		w := leaking(48000, 15, made.Leak{Delay: 0.1})
		if what == "noise" { // all the time: the worst there is
			for i := range w.Played {
				w.Played[i] = float32(0.1 * noise.NormFloat64())
				w.Samples[i] += 0.1 * w.Played[max(0, i-4800)]
			}
		}
		b.Run(fmt.Sprintf("%s-48000Hz", what), func(b *testing.B) {
			s, _ := NewSound(SoundConfig{Rate: w.Rate})
			s.Played(nil)
			events := make([]Event, 0, 256)
			b.ReportAllocs()
			b.ResetTimer()
			for range b.N {
				for k := 0; k+512 <= len(w.Samples); k += 512 {
					s.Played(w.Played[k : k+512])
					events = s.Feed(events[:0], w.Samples[k:k+512])
				}
			}
			b.ReportMetric(15*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
