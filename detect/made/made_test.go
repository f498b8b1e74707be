package made_test

import (
	"math"
	"slices"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/testdata/footsteps"
)

// walk is 20 s of an ordinary walk, at a low rate to be quick.
func walk() made.Spec {
	return made.Spec{Seed: 7, Rate: 16000, Duration: 20, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 2, LongRange: 0.3}}
}

func TestSameSeedSameWalk(t *testing.T) {
	s := walk()
	s.Duration = 5
	s.Noises = []made.Noise{{Kind: made.Wind, SNR: 3}, {Kind: made.Voices, SNR: 3}, {Kind: made.Crowd, SNR: 10}}
	a, b := s.Walk(), s.Walk()
	if !slices.Equal(a.Samples, b.Samples) || !slices.Equal(a.Steps, b.Steps) {
		t.Error("the same spec gave two walks")
	}
	s.Seed++
	if c := s.Walk(); slices.Equal(a.Times(), c.Times()) {
		t.Error("another seed gave the same steps")
	}
	s.Seed--
	s.Noises = s.Noises[:1]
	if c := s.Walk(); !slices.Equal(a.Steps, c.Steps) {
		t.Error("the noise moved the steps")
	}
}

// A silent surface between the steps lets every onset be read off the sound.
func TestTruthIsWhereTheSoundStarts(t *testing.T) {
	for _, name := range append([]string{""}, footsteps.Surfaces()...) {
		s := walk()
		s.Rate, s.Duration = 48000, 4
		s.Gait.Cadence = made.Steady(60) // far enough apart to look at each alone
		if name != "" {
			s.Surface = footsteps.Surface(name)
		}
		w := s.Walk()
		for _, step := range w.Steps[:len(w.Steps)-1] {
			from := max(0, int((step.T-0.1)*w.Rate))
			x := make([]float64, int(0.9*w.Rate))
			for i := range x {
				x[i] = float64(w.Samples[from+i])
			}
			got := float64(from+made.OnsetOf(x, w.Rate)) / w.Rate
			if math.Abs(got-step.T) > 0.002 {
				t.Errorf("%s: step at %.4f s sounds from %.4f s", name, step.T, got)
			}
		}
	}
}

func TestIndexedOnsets(t *testing.T) {
	for _, surface := range footsteps.Surfaces() {
		for _, f := range footsteps.On(surface) {
			x := make([]float64, len(f.Samples))
			for i, v := range f.Samples {
				x[i] = float64(v)
			}
			if got := float64(made.OnsetOf(x, footsteps.Rate)) / footsteps.Rate; math.Abs(got-f.Onset) > 0.0001 {
				t.Errorf("%s: onset %.4f s, the index says %.4f", f.Name, got, f.Onset)
			}
		}
	}
}

func TestGait(t *testing.T) {
	g := made.Gait{Cadence: made.Steady(200), JitterCV: 2, LongRange: 0.3, Unevenness: 4}
	steps := g.Steps(1, 600)
	var right, left, all []float64
	for i := 1; i < len(steps); i++ {
		if steps[i].Side == steps[i-1].Side {
			t.Fatal("two steps of one foot in a row")
		}
		d := steps[i].T - steps[i-1].T
		all = append(all, d)
		if steps[i].Side == made.Right {
			right = append(right, d)
		} else {
			left = append(left, d)
		}
	}
	r, l := mean(right), mean(left)
	within(t, "cadence", 60/mean(all), 200, 0.5)
	within(t, "symmetry index", 100*(r-l)/((r+l)/2), 4, 0.3)
	within(t, "jitter CV of the right steps", 100*sd(right)/r, 2, 0.2)
}

func TestLongRangeIsCorrelated(t *testing.T) {
	var after [2]float64
	for i, share := range []float64{0, 1} {
		steps := made.Gait{Cadence: made.Steady(180), JitterCV: 2, LongRange: share}.Steps(3, 1200)
		var d []float64
		for k := 1; k < len(steps); k++ {
			d = append(d, steps[k].T-steps[k-1].T)
		}
		m := mean(d)
		for k := 10; k < len(d); k++ {
			after[i] += (d[k] - m) * (d[k-10] - m)
		}
		after[i] /= float64(len(d)) * sd(d) * sd(d)
	}
	within(t, "correlation at 10 steps of independent jitter", after[0], 0, 0.05)
	if after[1] < 0.15 {
		t.Errorf("correlation at 10 steps of long-range jitter = %.2f, want above 0.15", after[1])
	}
}

func TestPausesAndMisses(t *testing.T) {
	s := walk()
	s.Pauses = [][2]float64{{8, 12}}
	s.Missed = 0.2
	w := s.Walk()
	silent := 0
	for _, step := range w.Steps {
		if step.T >= 8 && step.T < 12 {
			t.Errorf("step at %.2f s, in the pause", step.T)
		}
		if step.Silent {
			silent++
		}
	}
	within(t, "share of missed steps", float64(silent)/float64(len(w.Steps)), 0.2, 0.12)
	for _, v := range w.Samples[int(9*w.Rate):int(12*w.Rate)] {
		if v != 0 {
			t.Fatal("sound in the pause")
		}
	}
}

// Signal and noise are made apart, as the walk without noise and the noise
// without a walk, and their powers compared.
func TestSNR(t *testing.T) {
	for _, kind := range []made.Kind{made.White, made.Pink, made.Wind, made.Voices, made.Traffic} {
		s := walk()
		s.Duration = 8
		clean := s.Walk()
		s.Noises = []made.Noise{{Kind: kind, SNR: 5}}
		s.Cadence = nil
		noise := s.Walk()
		if len(noise.Steps) != 0 {
			t.Fatal("steps without a walker")
		}
		got := 10 * math.Log10(stepPower(clean)/power(noise.Samples))
		within(t, string(kind)+": SNR", got, 5, 0.1)
	}
}

func TestLevels(t *testing.T) {
	s := walk()
	within(t, "level of the steps", 10*math.Log10(stepPower(s.Walk())), -30, 0.1)
	s.LevelBetween = 12
	w := s.Walk()
	var foot [3]float64
	for _, step := range w.Steps {
		foot[step.Side] += power(w.Samples[int(step.T*w.Rate):][:int(0.05*w.Rate)])
	}
	within(t, "right foot over left", 10*math.Log10(foot[made.Right]/foot[made.Left]), 12, 1)
	s.ClipDB = 12
	full := 0
	for _, v := range s.Walk().Samples {
		if v == 1 || v == -1 {
			full++
		} else if v > 1 || v < -1 {
			t.Fatal("above full scale")
		}
	}
	if full < 100 {
		t.Errorf("%d samples clipped, want many", full)
	}
}

func TestOtherRates(t *testing.T) {
	for _, rate := range []float64{8000, 22050, 96000} {
		s := walk()
		s.Rate, s.Duration = rate, 5
		w := s.Walk()
		if len(w.Samples) != int(5*rate) {
			t.Errorf("%g Hz: %d samples", rate, len(w.Samples))
		}
		within(t, "level", 10*math.Log10(stepPower(w)), -30, 0.2)
	}
}

func TestOwnClicks(t *testing.T) {
	s := walk()
	s.Cadence = nil
	s.Noises = []made.Noise{{Kind: made.Clicks, Beat: made.Steady(200), Delay: 0.140}}
	w := s.Walk()
	heard, played := firstSound(w.Samples), firstSound(w.Played)
	within(t, "delay of the clicks, s", float64(heard-played)/w.Rate, 0.140, 1e-9)
}

func TestDemo(t *testing.T) {
	s := made.Demo(nil)
	s.Rate = 4000 // quick: only the times are looked at
	w := s.Walk()
	times := w.Times()
	if d := float64(len(w.Samples)) / w.Rate; d < 150 || d > 210 {
		t.Errorf("%.0f s long, want about 3 minutes", d)
	}
	if times[0] < 2 {
		t.Errorf("first step at %.1f s, want a short stand before", times[0])
	}
	for _, c := range []struct{ from, to, cadence float64 }{{5, 20, 182}, {50, 80, 192}, {106, 124, 183}, {150, 175, 192}} {
		got, _ := score.Mean(times, c.from, c.to)
		within(t, "cadence", got, c.cadence, 1.5)
	}
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.4g, want %.4g ± %.4g", what, got, want, tolerance)
	}
}

func stepPower(w made.Walk) float64 {
	var sum float64
	n := 0
	for _, s := range w.Steps {
		if to := int((s.T + made.Window) * w.Rate); to <= len(w.Samples) {
			sum += power(w.Samples[int(s.T*w.Rate):to])
			n++
		}
	}
	return sum / float64(n)
}

func power(x []float32) float64 {
	var sum float64
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(len(x))
}

func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func sd(x []float64) float64 {
	m, sum := mean(x), 0.0
	for _, v := range x {
		sum += (v - m) * (v - m)
	}
	return math.Sqrt(sum / float64(len(x)-1))
}

func firstSound(x []float32) int {
	return slices.IndexFunc(x, func(v float32) bool { return math.Abs(float64(v)) > 1e-4 })
}
