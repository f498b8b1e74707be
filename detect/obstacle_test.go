package detect_test

import (
	"fmt"
	"slices"
	"testing"

	"steadfoot/detect"
	"steadfoot/detect/made"
	"steadfoot/detect/score/trial"
	"steadfoot/testdata/footsteps"
)

// obstacleSeen is one answer of Obstacles, from t on.
type obstacleSeen struct {
	t    float64
	what detect.Obstacle
}

func (s obstacleSeen) String() string { return fmt.Sprintf("%v at %.1f s", s.what, s.t) }

// obstacles has a detector and Obstacles listen to the same.
func obstacles(t testing.TB, samples []float32, rate float64) []obstacleSeen {
	t.Helper()
	det, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	if err != nil {
		t.Fatal(err)
	}
	o, err := detect.NewObstacles(rate)
	if err != nil {
		t.Fatal(err)
	}
	var all []obstacleSeen
	var events []detect.Event
	last := detect.NoObstacle
	for at := 0; at < len(samples); {
		piece := samples[at:min(at+512, len(samples))]
		at += len(piece)
		o.Feed(piece)
		events = det.Feed(events[:0], piece)
		for _, e := range events {
			if e.Kind == detect.KindRhythm {
				o.See(e.Rhythm)
			}
		}
		if now := o.Now(); now != last {
			last = now
			all = append(all, obstacleSeen{float64(at) / rate, now})
		}
	}
	return all
}

// TestNoObstacle: while a walker is heard nothing is wrong, on every surface, in
// every noise, at every level, however poor the sound.
func TestNoObstacle(t *testing.T) {
	t.Parallel()
	cases := append(trial.Hard(1), trial.Noisy(0, 1)...)
	cases = append(cases, trial.Noisy(-12, 1)...)
	cases = append(cases, trial.Levels(1)...)
	cases = append(cases, trial.Rustling(1)...)
	for _, c := range cases {
		w, _ := c.Walk()
		for _, s := range obstacles(t, w.Samples, w.Rate) {
			// Where the walker stands there is digital silence in some.
			if s.what != detect.NoObstacle && s.what != detect.Muted {
				t.Errorf("%s: %v at %.1f s", c.Name, s.what, s.t)
			}
		}
	}
}

// TestNobodyNoObstacle: sounds without a walker are no obstacle either, so that
// one who stands is left alone.
func TestNobodyNoObstacle(t *testing.T) {
	t.Parallel()
	for _, c := range trial.Nobody(20) {
		w, _ := c.Walk()
		for _, s := range obstacles(t, w.Samples, w.Rate) {
			if s.what == detect.Muted && same(w.Samples[int((s.t-1.5)*w.Rate):int(s.t*w.Rate)]) {
				continue // so it is
			}
			if s.what != detect.NoObstacle {
				t.Errorf("%s: %v at %.1f s", c.Name, s.what, s.t)
			}
		}
	}
}

func same(x []float32) bool { return slices.Max(x) == slices.Min(x) }

const (
	wrongFrom = 20.0 // s
	wrongTo   = 40.0
)

// wrong is a walk of 60 s with something wrong in its middle.
func wrong(level float64, change func(i int, v float32) float32) made.Walk {
	w := made.Spec{
		Seed: 5, Duration: 60, Level: level, Surface: footsteps.Surface("gravel"),
		Gait:   made.Gait{Cadence: made.Steady(188), JitterCV: 1.5, Start: 1},
		Noises: []made.Noise{{Kind: made.Pink, SNR: 10}},
	}.Walk()
	for i := int(wrongFrom * w.Rate); i < int(wrongTo*w.Rate); i++ {
		w.Samples[i] = min(max(change(i, w.Samples[i]), -1), 1)
	}
	return w
}

// as16 is what 16-bit sound holds of a sample.
func as16(v float32) float32 { return float32(int(v*32768)) / 32768 }

// TestObstacles: each obstacle is told within some seconds of when it comes and
// is over soon after it has gone.
func TestObstacles(t *testing.T) {
	t.Parallel()
	wind := made.Spec{Seed: 3, Duration: 60, Noises: []made.Noise{{Kind: made.Wind, SNR: -90}}}.Walk().Samples
	roar := made.Spec{Seed: 4, Duration: 60, ClipDB: 20, Noises: []made.Noise{{Kind: made.Pink}}}.Walk().Samples
	for _, c := range []struct {
		name   string
		level  float64
		want   detect.Obstacle
		within float64 // s
		change func(int, float32) float32
	}{
		{"digital silence", -30, detect.Muted, 2, func(int, float32) float32 { return 0 }},
		{"the same constant", -30, detect.Muted, 2, func(int, float32) float32 { return 0.013 }},
		{"85 dB less, 16 bits", -30, detect.TooQuiet, 12, func(i int, v float32) float32 { return as16(v*5.6e-5 + float32(i%2)/32768) }},
		{"wind as loud as can be", -80, detect.Windy, 12, func(i int, v float32) float32 { return v + wind[i] }},
		{"a roar that is cut off", -50, detect.Clipped, 12, func(i int, v float32) float32 { return v + roar[i] }},
	} {
		for _, rate := range []float64{48000, 16000} {
			w := wrong(c.level, c.change)
			if rate == 16000 {
				w = every3rd(w)
			}
			seen := obstacles(t, w.Samples, w.Rate)
			t.Logf("%s from %g to %g s, %g Hz: %v", c.name, wrongFrom, wrongTo, w.Rate, seen)
			ok := len(seen) == 2 && seen[0].what == c.want && seen[1].what == detect.NoObstacle &&
				seen[0].t > wrongFrom && seen[0].t < wrongFrom+c.within && seen[1].t > wrongTo && seen[1].t < wrongTo+12
			if !ok {
				t.Errorf("%s at %g Hz: %v", c.name, rate, seen)
			}
		}
	}
}

// every3rd is the walk at a third of the rate; what folds over is no matter here.
func every3rd(w made.Walk) made.Walk {
	w.Rate /= 3
	for i := range len(w.Samples) / 3 {
		w.Samples[i] = w.Samples[3*i]
	}
	w.Samples = w.Samples[:len(w.Samples)/3]
	return w
}

// TestTooQuietFromTheStart: nothing but the last bit of the converter's.
func TestTooQuietFromTheStart(t *testing.T) {
	x := make([]float32, 48000*12)
	for i := range x {
		x[i] = float32(i*7919%3-1) / 32768
	}
	seen := obstacles(t, x, 48000)
	t.Logf("%v", seen)
	if len(seen) != 1 || seen[0].what != detect.TooQuiet || seen[0].t > 9 {
		t.Errorf("%v", seen)
	}
}

// TestWindFromTheStart: wind that drowns a walk from its first step is told with its
// first strong gusts, whenever these come. It cannot be sooner: as long as no step
// was heard, how loud the wind is is all there is to go by, and the same wind where
// nobody walks yet is none to tell of. To let the bound of -25 dB down to -31 dB, or
// gusts count for longer (0.5 instead of 2 dB a second), would bring most below 10 s,
// and tell one who only stands in a wind in which steps are heard well.
func TestWindFromTheStart(t *testing.T) {
	t.Parallel()
	for seed := uint64(1); seed <= 6; seed++ {
		w := made.Spec{
			Seed: seed, Duration: 60, Surface: footsteps.Surface("gravel"),
			Gait:   made.Gait{Cadence: made.Steady(188), JitterCV: 1.5, Start: 1},
			Noises: []made.Noise{{Kind: made.Wind, SNR: -50}},
		}.Walk()
		seen := obstacles(t, w.Samples, w.Rate)
		t.Logf("%v", seen)
		if len(seen) == 0 || seen[0].what != detect.Windy {
			t.Errorf("wind %d: %v", seed, seen)
		}
	}
}

func TestObstaclesOfAnySamples(t *testing.T) {
	if _, err := detect.NewObstacles(100); err == nil {
		t.Error("100 Hz is taken")
	}
	x := make([]float32, 48000)
	var zero float32
	for i := range x {
		x[i] = []float32{zero / zero, 1 / zero, -1 / zero, 1e30, -1e-30, 0.1}[i%6]
	}
	_ = fmt.Sprint(obstacles(t, x, 48000)) // no panic, and an answer
}

func TestObstaclesAllocate(t *testing.T) {
	o, err := detect.NewObstacles(48000)
	if err != nil {
		t.Fatal(err)
	}
	x := wrong(-30, func(_ int, v float32) float32 { return v }).Samples
	r := detect.Rhythm{State: detect.Walking, Heard: 1}
	at := 0
	if n := testing.AllocsPerRun(500, func() {
		o.Feed(x[at : at+512])
		o.See(r)
		at += 512
	}); n != 0 {
		t.Errorf("%g allocations a block", n)
	}
}

func BenchmarkObstacles(b *testing.B) {
	o, err := detect.NewObstacles(48000)
	if err != nil {
		b.Fatal(err)
	}
	x := wrong(-30, func(_ int, v float32) float32 { return v }).Samples[:48000]
	b.ReportAllocs()
	for b.Loop() {
		o.Feed(x)
	}
}
