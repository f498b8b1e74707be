package chirp_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"steadfoot/audio"
	"steadfoot/audio/chirp"
)

const (
	recorded = 64000 // samples, 1.33 s
	exact    = 0.1 * audio.Rate / 1000
)

func newChirp(t testing.TB) *chirp.Chirp {
	t.Helper()
	c, err := chirp.New(audio.Rate)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// delayed is the chirp in a recording of n samples, late by a number of samples
// that need not be whole: its spectrum is turned.
func delayed(c *chirp.Chirp, n int, delay, level float64) []float64 {
	x := make([]float64, n)
	for i, v := range c.Samples(level) {
		x[i] = float64(v)
	}
	fft := fourier.NewFFT(n)
	s := fft.Coefficients(nil, x)
	for i := range s {
		sin, cos := math.Sincos(-2 * math.Pi * fft.Freq(i) * delay)
		s[i] *= complex(cos/float64(n), sin/float64(n))
	}
	return fft.Sequence(x, s)
}

func plain(x []float64) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = float32(v)
	}
	return out
}

// noise of the given root mean square.
func noise(seed uint64, n int, rms float64) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float64, n)
	for i := range x {
		x[i] = rms * r.NormFloat64()
	}
	return x
}

func rms(x []float32) (v float64) {
	for _, s := range x {
		v += float64(s) * float64(s)
	}
	return math.Sqrt(v / float64(len(x)))
}

func find(t *testing.T, c *chirp.Chirp, x []float64, delay, within float64) chirp.Found {
	t.Helper()
	f, err := c.Find(plain(x))
	if err != nil {
		t.Fatalf("delay %v: %v", delay, err)
	}
	if off := f.At - delay; math.Abs(off) > within {
		t.Errorf("delay %v: found at %v, off by %.3f samples, want %v at most; %+v", delay, f.At, off, within, f)
	}
	return f
}

func TestFindsFractionsOfASample(t *testing.T) {
	c := newChirp(t)
	for _, delay := range []float64{0, 1, 512, 1024, 1024.25, 7354.5, 7354.77, 20000.1, float64(recorded - c.Len() - 1)} {
		f := find(t, c, delayed(c, recorded, delay, 0.1), delay, 0.02)
		if f.Peak < 30 || f.SNR < 20 || math.Abs(f.Level+20) > 0.2 || f.Clipped {
			t.Errorf("delay %v: %+v", delay, f)
		}
	}
}

// Noise as loud as the chirp itself, white and without its high end.
func TestFindsInNoiseAsLoud(t *testing.T) {
	c := newChirp(t)
	loud := rms(c.Samples(0.1))
	worst := 0.0
	for seed := range uint64(16) {
		delay := 300 + 1733.37*float64(seed)
		x := delayed(c, recorded, delay, 0.1)
		dull := 0.0
		for i, v := range noise(seed, recorded, loud) {
			if seed%2 == 1 {
				dull += 0.3 * (v - dull)
				v = dull * 2.38 // as loud as it was: sqrt((2-0.3)/0.3)
			}
			x[i] += v
		}
		f := find(t, c, x, delay, exact)
		worst = math.Max(worst, math.Abs(f.At-delay))
		if seed%2 == 0 && math.Abs(f.SNR-5) > 1.5 { // the band has 7 of 24 kHz, 5.4 dB less noise
			t.Errorf("SNR %v dB, want about 5", f.SNR)
		}
	}
	t.Logf("worst %.4f ms", 1000*worst/audio.Rate)
}

func TestFindsInARoom(t *testing.T) {
	c := newChirp(t)
	const delay = 5000.4
	dry := delayed(c, recorded, delay, 0.1)
	r := rand.New(rand.NewPCG(3, 4))
	wet := append([]float64(nil), dry...)
	for k := 0; k < 200; k++ { // echoes from 1 ms on that fall by 60 dB in 0.5 s
		late := 48 + r.IntN(audio.Rate/3)
		gain := 0.5 * (2*r.Float64() - 1) * math.Exp(-6.9*float64(late)/(0.5*audio.Rate))
		for i := late; i < len(wet); i++ {
			wet[i] += gain * dry[i-late]
		}
	}
	find(t, c, wet, delay, exact)

	// One echo louder than the direct sound, 4 ms later.
	for i := len(dry) - 1; i >= 192; i-- {
		dry[i] += -1.5 * dry[i-192]
	}
	find(t, c, dry, delay, exact)
}

func TestFindsClippedAndInverted(t *testing.T) {
	c := newChirp(t)
	x := delayed(c, recorded, 3000.5, 8)
	for i, v := range x {
		x[i] = max(-1, min(1, -v))
	}
	if f := find(t, c, x, 3000.5, exact); !f.Clipped {
		t.Errorf("clipping was not told: %+v", f)
	}
	x = delayed(c, recorded, 777.3, -0.1)
	find(t, c, x, 777.3, 0.02)
}

func TestFindsNothingWhereNothingIs(t *testing.T) {
	c := newChirp(t)
	r := rand.New(rand.NewPCG(5, 6))
	made := map[string]func(i int) float64{
		"noise":    func(int) float64 { return r.NormFloat64() },
		"tone":     func(i int) float64 { return math.Sin(0.4 * float64(i)) },
		"click":    func(i int) float64 { return map[bool]float64{true: 0.9}[i == 30000] },
		"steps":    func(i int) float64 { return math.Exp(-float64(i%15000)/500) * r.NormFloat64() },
		"hum":      func(i int) float64 { return math.Sin(0.0065*float64(i)) + 0.001*r.NormFloat64() },
		"one jump": func(i int) float64 { return map[bool]float64{true: 0.5}[i > 40000] },
		"downward": func(i int) float64 { s := float64(i%20000) / 20000; return math.Sin(20000 * (s - s*s/2)) },
		"no number": func(i int) float64 {
			if i == 100 {
				return math.NaN()
			}
			return r.NormFloat64()
		},
	}
	for name, at := range made {
		x := make([]float32, recorded)
		for i := range x {
			x[i] = float32(0.1 * at(i))
		}
		if f, err := c.Find(x); !errors.Is(err, chirp.ErrMissing) {
			t.Errorf("%s: %+v, %v", name, f, err)
		}
	}
	for range 20 {
		if f, err := c.Find(plain(noise(r.Uint64(), recorded, 0.1))); err == nil {
			t.Errorf("noise: %+v", f)
		}
	}
}

func TestSaysWhyNot(t *testing.T) {
	c := newChirp(t)
	if _, err := c.Find(make([]float32, recorded)); !errors.Is(err, chirp.ErrSilent) {
		t.Errorf("silence: %v", err)
	}
	if _, err := c.Find(c.Samples(1)); !errors.Is(err, chirp.ErrShort) {
		t.Errorf("short: %v", err)
	}
	for _, rate := range []int{-1, 0, 8000, 2e6} {
		if _, err := chirp.New(rate); err == nil {
			t.Errorf("rate %d was taken", rate)
		}
	}
}

// What is played never jumps, nor is it above its level.
func TestFadesInAndOut(t *testing.T) {
	s := newChirp(t).Samples(0.25)
	for i := range s[:audio.Rate/1000] { // a millisecond at each end
		if math.Abs(float64(s[i])) > 0.001 || math.Abs(float64(s[len(s)-1-i])) > 0.001 {
			t.Fatalf("sample %d of an end is %v or %v", i, s[i], s[len(s)-1-i])
		}
	}
	peak := float32(0)
	for _, v := range s {
		peak = max(peak, v, -v)
	}
	if peak > 0.25 || peak < 0.24 {
		t.Errorf("peak %v, want 0.25", peak)
	}
}

func TestSummarise(t *testing.T) {
	got := chirp.Summarise([]float64{20, 10, 10.5, 11, 10.2}, 1)
	want := chirp.Spread{Median: 10.5, MAD: 0.5, Min: 10, Max: 20, Near: 4}
	if math.Abs(got.MAD-want.MAD) > 1e-9 {
		t.Errorf("MAD %v, want %v", got.MAD, want.MAD)
	}
	got.MAD = want.MAD
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if got := chirp.Summarise([]float64{3, 4}, 0.1); got.Median != 3.5 || got.Near != 0 {
		t.Errorf("of two: %+v", got)
	}
}

func BenchmarkFind(b *testing.B) {
	c := newChirp(b)
	x := plain(delayed(c, recorded, 1000, 0.1))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Find(x); err != nil {
			b.Fatal(err)
		}
	}
}
