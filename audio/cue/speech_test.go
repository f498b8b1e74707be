package cue

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"

	"steadfoot/audio"
	"steadfoot/audio/cue/formant"
)

// samples gives a clip's mono samples.
func samples(c *Clip) []float64 {
	x := make([]float64, len(c.mono))
	for i, v := range c.mono {
		x[i] = float64(v)
	}
	return x
}

const (
	frame = audio.Rate * 25 / 1000
	hop   = audio.Rate / 100
)

// edges are those of the bands that sounds are compared in, Hz.
var edges = []float64{150, 300, 450, 600, 800, 1000, 1250, 1500, 1800, 2150, 2550, 3000, 3600, 4500, 5500, 7500}

// bands gives, every 10 ms, the level of each band in dB against the loudest
// band of the whole sound, at least -40.
func bands(x []float64) [][]float64 {
	fft := fourier.NewFFT(frame)
	w := make([]float64, frame)
	var all [][]float64
	most := math.Inf(-1)
	for i := 0; i+frame <= len(x); i += hop {
		for k := range w {
			w[k] = x[i+k] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(k)/frame))
		}
		level := make([]float64, len(edges)-1)
		for k, c := range fft.Coefficients(nil, w) {
			hz := float64(k) * audio.Rate / frame
			for b := range level {
				if hz >= edges[b] && hz < edges[b+1] {
					level[b] += real(c)*real(c) + imag(c)*imag(c)
				}
			}
		}
		for b := range level {
			level[b] = 10 * math.Log10(level[b]+1e-12)
			most = max(most, level[b])
		}
		all = append(all, level)
	}
	for _, level := range all {
		for b := range level {
			level[b] = max(level[b]-most, -40)
		}
	}
	return all
}

// distance is how far two sounds are apart when one is bent in time to fit the
// other as well as it can, in dB a frame and band.
func distance(a, b [][]float64) float64 {
	row := make([]float64, len(b)+1)
	for j := range row {
		row[j] = math.Inf(1)
	}
	row[0] = 0
	for _, x := range a {
		diagonal := row[0]
		row[0] = math.Inf(1)
		for j, y := range b {
			best := min(diagonal, row[j], row[j+1])
			diagonal = row[j+1]
			row[j+1] = best + floats.Distance(x, y, 2)/math.Sqrt(float64(len(x)))
		}
	}
	return row[len(b)] / float64(len(a)+len(b))
}

// A digit on another pitch is nearest to itself, from low to high and from high
// to low: what tells digits apart is not their pitch. Nor is it what lies under
// 600 Hz, where wind and tread are loudest and earbuds weakest.
func TestDigitsAreNearestToThemselves(t *testing.T) {
	for _, from := range []int{0, slices.Index(edges, 600)} {
		var at [3][10][][]float64
		for i, pitch := range [][]float64{{105, 90}, {130, 145}, {180, 160}} {
			for d, phones := range digits {
				x, _, err := formant.Say(audio.Rate, phones, pitch, pace)
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range bands(x) {
					at[i][d] = append(at[i][d], f[from:])
				}
			}
		}
		margin := math.Inf(1)
		for i := range at {
			for k := range at {
				for d := range 10 {
					if i != k {
						margin = min(margin, lead(t, d, at[i][d], at[k]))
					}
				}
			}
		}
		t.Logf("from %g Hz on the next digit is at least %.2f times as far", edges[from], margin)
	}
}

// lead is how many times as far as d itself the nearest other digit is.
func lead(t *testing.T, d int, x [][]float64, among [10][][]float64) float64 {
	self, other, which := distance(x, among[d]), math.Inf(1), -1
	for e := range among {
		if v := distance(x, among[e]); e != d && v < other {
			other, which = v, e
		}
	}
	if self >= other {
		t.Errorf("%d is nearer to %d (%.2f) than to itself on another pitch (%.2f)", d, which, other, self)
	}
	return other / self
}

// A word is nearest to itself on another pitch, among all words and digits.
func TestWordsAreNearestToThemselves(t *testing.T) {
	type sound struct {
		name string
		x    [][]float64
	}
	var low, high []sound
	add := func(name, phones string, contour []float64, slow float64) {
		for k, to := range []*[]sound{&low, &high} {
			pitch := append([]float64(nil), contour...)
			floats.Scale([]float64{0.85, 1.25}[k], pitch)
			x, _, err := formant.Say(audio.Rate, phones, pitch, slow)
			if err != nil {
				t.Fatal(err)
			}
			*to = append(*to, sound{name, bands(x)})
		}
	}
	for s, w := range words {
		add(s.String(), w.phones, w.pitch, max(w.slow, 1))
	}
	for d, phones := range digits {
		add(string(rune('0'+d)), phones, closing, 1)
	}
	for i, a := range low {
		self := distance(a.x, high[i].x)
		for k, b := range high {
			if d := distance(a.x, b.x); k != i && d <= self {
				t.Errorf("%s is nearer to %s (%.2f) than to itself (%.2f)", a.name, b.name, d, self)
			}
		}
	}
}

// syllables counts the peaks of the level between 150 and 1500 Hz: those that
// stand at least 3 dB above the dips beside them and at most 15 dB below the
// highest.
func syllables(x []float64) int {
	var level []float64
	for _, f := range bands(x) {
		sum := 0.0
		for b := range f {
			if edges[b] < 1500 {
				sum += math.Pow(10, f[b]/10)
			}
		}
		level = append(level, sum)
	}
	smooth := make([]float64, len(level))
	for i := range level {
		near := level[max(0, i-2):min(len(level), i+3)]
		smooth[i] = 10 * math.Log10(floats.Sum(near)/5)
	}
	count, low, high, up := 0, smooth[0], smooth[0], true
	for _, v := range append(smooth, -60) {
		switch {
		case up:
			high = max(high, v)
			if v < high-3 {
				up, low = false, v
				if high > floats.Max(smooth)-15 {
					count++
				}
			}
		default:
			low = min(low, v)
			if v > low+3 {
				up, high = true, v
			}
		}
	}
	return count
}

func TestSyllables(t *testing.T) {
	check := func(name, phones string, c *Clip) {
		_, vowels, err := formant.Say(audio.Rate, phones, []float64{100}, 1)
		if err != nil {
			t.Fatal(err)
		}
		if got := syllables(samples(c)); got != len(vowels) {
			t.Errorf("%s: %d syllables measured, %d spoken", name, got, len(vowels))
		}
	}
	for s, w := range words {
		check(s.String(), w.phones, speech().cues[s])
	}
	for d, phones := range digits {
		check(string(rune('0'+d)), phones, speech().on[d])
		check(string(rune('0'+d)), phones, speech().last[d])
	}
}

// voicePitch is the pitch around sample i, 75 to 300 Hz, by autocorrelation.
func voicePitch(x []float64, i int) float64 {
	x = x[max(0, i-1200):min(len(x), i+1200)]
	best, at := 0.0, 0
	for lag := audio.Rate / 300; lag <= audio.Rate/75; lag++ {
		a, b := x[:len(x)-lag], x[lag:]
		if r := floats.Dot(a, b) / (floats.Norm(a, 2) * floats.Norm(b, 2)); r > best {
			best, at = r, lag
		}
	}
	return audio.Rate / float64(at)
}

// What is played rises for quicken and falls for ease, by a fifth or more; and
// words and digits whose contour goes one way do so.
func TestContours(t *testing.T) {
	measure := func(phones string, slow float64, c *Clip) (head, tail float64) {
		_, vowels, err := formant.Say(audio.Rate, phones, []float64{100}, slow)
		if err != nil {
			t.Fatal(err)
		}
		x := samples(c)
		return voicePitch(x, int((vowels[0]+0.05)*audio.Rate)), voicePitch(x, int((vowels[len(vowels)-1]+0.14)*audio.Rate))
	}
	for s, w := range words {
		head, tail := measure(w.phones, pace*max(1, w.slow), speech().cues[s])
		switch first, last := w.pitch[0], w.pitch[len(w.pitch)-1]; {
		case s == Quicken && tail < 1.5*head, s == Ease && head < 1.5*tail:
			t.Errorf("%v goes from %.0f to %.0f Hz", s, head, tail)
		case len(w.pitch) == 1 && math.Abs(tail/head-1) > 0.03, // level
			slices.IsSorted(w.pitch) && last > first && tail < 1.03*head,
			slices.IsSortedFunc(w.pitch, func(a, b float64) int { return cmp.Compare(b, a) }) && last < first && tail > 0.97*head:
			t.Errorf("%v goes from %.0f to %.0f Hz, its contour is %v", s, head, tail, w.pitch)
		}
	}
	for d, phones := range digits {
		if head, tail := measure(phones, pace, speech().on[d]); tail < head*0.99 {
			t.Errorf("%d, going on, falls from %.0f to %.0f Hz", d, head, tail)
		}
		if head, tail := measure(phones, pace, speech().last[d]); tail > head*0.97 {
			t.Errorf("%d, at the end, does not fall: %.0f to %.0f Hz", d, head, tail)
		}
	}
}

// The notes and the words of the countdown fall one second apart, and what is
// counted to can follow on the fourth.
func TestCountdown(t *testing.T) {
	c := speech().cues[Countdown]
	if a, b := c.Seconds(), bank()[Countdown].Seconds(); a != 3 || b != 3 {
		t.Errorf("%g s of speech, %g s of tones", a, b)
	}
	x := samples(c)
	for i, w := range []*Clip{speech().on[3], speech().on[2], speech().last[1]} {
		from := c.onset + i*audio.Rate - w.onset
		for k, v := range samples(w) {
			if x[from+k] != v {
				t.Fatalf("word %d is not at its place", i)
			}
		}
	}
	notes := segments(samples(bank()[Countdown]))
	for i, n := range notes {
		if n[0] != notes[0][0]+i*audio.Rate {
			t.Errorf("note %d is %d samples after the first", i, n[0]-notes[0][0])
		}
	}
}
