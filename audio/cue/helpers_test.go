package cue

import (
	"math"
	"math/cmplx"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"steadfoot/audio"
)

func newPlayer(t testing.TB, o Options) *Player {
	t.Helper()
	p, err := NewPlayer(o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func mustPlay(t testing.TB, p *Player, s Sound, at int64) {
	t.Helper()
	if err := p.Play(s, at); err != nil {
		t.Fatalf("Play(%v, %d): %v", s, at, err)
	}
}

func render(p *Player, n int) []audio.Frame {
	out := make([]audio.Frame, n)
	p.Render(out)
	return out
}

// heard renders s alone at full volume and gives one ear, starting a second
// before the onset.
func heard(t testing.TB, s Sound, ear int) []float64 {
	t.Helper()
	p := newPlayer(t, Options{Volume: 1})
	mustPlay(t, p, s, audio.Rate)
	out := make([]float64, 5*audio.Rate)
	for i, f := range render(p, len(out)) {
		out[i] = float64(f[ear])
	}
	return out
}

func size(f audio.Frame) float64 {
	return max(math.Abs(float64(f[0])), math.Abs(float64(f[1])))
}

// spectrum gives the power of each bin of x, Hann windowed, and Hz per bin.
func spectrum(x []float64) (power []float64, hz float64) {
	w := make([]float64, len(x))
	for i := range x {
		w[i] = x[i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x))))
	}
	for _, c := range fourier.NewFFT(len(x)).Coefficients(nil, w) {
		power = append(power, math.Pow(cmplx.Abs(c), 2))
	}
	return power, audio.Rate / float64(len(x))
}

func sine(freq, level float64, n int) [][2]float64 {
	out := make([][2]float64, n)
	for i := range out {
		out[i][0] = level * math.Sin(2*math.Pi*freq*float64(i)/audio.Rate)
	}
	return out
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

// peakOf is the greatest sample of either ear.
func peakOf(frames [][2]float64) float64 {
	most := 0.0
	for _, f := range frames {
		most = max(most, math.Abs(f[0]), math.Abs(f[1]))
	}
	return most
}

// powerOf is the K-weighted power of each frame, left and right added.
func powerOf(frames [][2]float64) []float64 {
	var ears [2][]float64
	for _, f := range frames {
		ears[0], ears[1] = append(ears[0], f[0]), append(ears[1], f[1])
	}
	power := kPower(ears[0])
	for i, p := range kPower(ears[1]) {
		power[i] += p
	}
	return power
}
