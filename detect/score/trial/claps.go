package trial

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"steadfoot/detect"
	"steadfoot/detect/claps"
	"steadfoot/detect/made"
)

// Clapping is a walk on which the walker claps twice now and then.
type Clapping struct {
	Case
	Over  float64 // of the first clap's peak over the median peak of a step, dB
	Hands made.Hands
	First []float64  // of each pair, s
	Gap   []float64  // to the second, s
	Leak  *made.Leak // of a beat of 200/min into the microphone; nil: none
}

// clapEvery is how far apart pairs are, s; clapNear is how near one that is told
// must be, s.
//
// clapRate is the rate that sound of 48 kHz is halved to before claps are looked
// for, Hz.
const (
	clapRate  = 24000
	clapEvery = 7
	clapNear  = 0.03
)

// Clappings are n walks of 42 s with five double claps each: in every noise at 0
// to 15 dB, beside others, on every surface, through every microphone, with and
// without a room, with and without a beat that leaks.
//
// Assumptions, from memory: a clap at arm's length of the microphone peaks 12 to
// 30 dB above the steps; cupped hands are loudest near 600 Hz, flat ones up to 2.5
// kHz; a clap dies away within 4 to 12 ms, to 1/e, beside its room.
func Clappings(n int) []Clapping {
	all := make([]Clapping, 0, n)
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 50))
		between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
		s := walker(500+i, made.Steady(cadences[i%len(cadences)]))
		s.Rate, s.Duration, s.Level = clapRate, 42, -45
		s.Surface = surface(append(slices.Clone(sharp), soft...), i)
		noise := clapNoise(i)
		noise.SNR = []float64{0, 5, 10, 15}[i/len(cadences)%4]
		if noise.Kind == made.Crowd {
			noise.SNR = 10
		}
		s.Noises = []made.Noise{noise}
		s.Mic = made.Mic(i % 3)
		c := Clapping{Over: between(12, 30), Hands: made.Hands{
			Seed: uint64(i), Hz: 600 * math.Exp2(2*rng.Float64()), Q: between(0.5, 1.2), Fade: between(0.004, 0.012),
			Hits: rng.IntN(3), Spread: 2,
		}}
		c.Hands.Room, c.Hands.RoomDB = []float64{0, 0.3, 0, 0.6}[i%4], between(-10, 0)
		c.Hands.LowHz, c.Hands.HighHz = [3]float64{0, 150, 200}[s.Mic], [3]float64{0, 9000, 7000}[s.Mic]
		for t := 6.0; t < s.Duration-2; t += clapEvery {
			c.First = append(c.First, t+rng.Float64())
			c.Gap = append(c.Gap, between(0.27, 0.58))
		}
		if i%5 == 4 {
			c.Leak = &made.Leak{Seed: uint64(i), Delay: []float64{0.020, 0.150, 0.290}[i%3], LowHz: 200, HighHz: 7000}
		}
		c.Case = numbered(fmt.Sprintf("claps, %s", noise.Kind), i, s)
		all = append(all, c)
	}
	return all
}

// clapNoise is the noise of the i-th walk: all there are, machines aside.
func clapNoise(i int) made.Noise {
	if k := i % (len(noises) + 1); k < len(noises) {
		return noises[k].noise
	}
	return made.Noise{Kind: made.Crowd}
}

// Walk makes the walk of the case with its claps.
func (c Clapping) Walk() made.Walk {
	steps := c.Spec
	steps.Noises = nil
	h := c.Hands
	h.Peak = stepPeak(steps.Walk()) * math.Pow(10, c.Over/20)
	var times []float64
	for i, t := range c.First {
		times = append(times, t, t+c.Gap[i])
	}
	w := c.Spec.Walk()
	if c.Leak != nil {
		var beats []float64
		for t := 0.1; t < c.Spec.Duration; t += 60 / 200.0 {
			beats = append(beats, t)
		}
		w = c.Leak.Into(w, made.ClickTrack(beats, w.Rate, c.Spec.Duration), beats, c.Spec.Level)
	}
	return h.Into(w, times)
}

// Judge counts the pairs that were heard, and what was heard beside them.
func (c Clapping) Judge(found []claps.Double) (heard, wrong int) {
	for _, d := range found {
		i := slices.IndexFunc(c.First, func(t float64) bool { return math.Abs(d.First-t) < clapNear })
		if i >= 0 && math.Abs(d.Second-c.First[i]-c.Gap[i]) < clapNear {
			heard++
		} else {
			wrong++
		}
	}
	return heard, wrong
}

// stepPeak is the median peak of the steps of a walk.
func stepPeak(w made.Walk) float64 {
	var peaks []float64
	for _, s := range w.Steps {
		var p float64
		from := int(s.T * w.Rate)
		for _, v := range w.Samples[from:min(len(w.Samples), from+int(made.Window*w.Rate))] {
			p = max(p, math.Abs(float64(v)))
		}
		peaks = append(peaks, p)
	}
	slices.Sort(peaks)
	return peaks[len(peaks)/2]
}

// HearClaps gives the double claps in a recording, as a walk hears them: once
// what was played, nil for nothing, is taken out.
func HearClaps(samples, played []float32, rate float64) ([]claps.Double, error) {
	d, err := detect.NewSound(detect.SoundConfig{Rate: rate})
	if err != nil {
		return nil, err
	}
	f, err := claps.New(d.HearRate())
	if err != nil {
		return nil, err
	}
	var found []claps.Double
	if played == nil && rate == d.HearRate() { // the detector would give just these samples
		x := make([]float64, len(samples))
		for i, v := range samples {
			x[i] = float64(v)
		}
		return f.Feed(found, x), nil
	}
	d.Overhear(func(hop []float64, _ bool) { found = f.Feed(found, hop) }) // nothing is lost here
	hearPlayed(d, samples, played, rate, func([]detect.Event, float64) {})
	return found, nil
}

// Clapless are walks of the given length without a clap in them, n of them, in
// which every double clap heard is a false one: every noise from -6 dB to 15 dB and
// others as loud, on every surface, at 90 to 222 steps/min, with stops, silent
// steps, uneven loudness and an automatic gain now and then.
func Clapless(n int, seconds float64) []Case {
	all := make([]Case, 0, n)
	for i := range n {
		s := walker(900+i, made.Steady([]float64{184, 205, 120, 165, 222, 196, 90, 140}[i%8]))
		s.Rate, s.Duration = clapRate, seconds
		s.Surface = surface(append(slices.Clone(sharp), soft...), i/3)
		s.LevelJitter = []float64{1.5, 3, 5}[i%3]
		noise := []made.Noise{clapNoise(i), {Kind: made.Typing}, {Kind: made.Water}}[max(0, i%13-10)]
		noise.SNR = []float64{0, 15, -6, 5}[i/2%4]
		if noise.Kind == made.Crowd {
			noise.SNR = []float64{0, 10}[i/9%2]
		}
		s.Noises = []made.Noise{noise}
		s.Mic = made.Mic(i / 5 % 3)
		s.AGC = i%7 == 6
		s.Missed = []float64{0, 0, 0.05}[i/4%3]
		if i%4 == 1 { // off and on, for a few steps at times
			for t := 10.0; t < seconds; t += 23.7 {
				s.Pauses = append(s.Pauses, [2]float64{t, t + 6}, [2]float64{t + 7 + math.Mod(t, 1), t + 13})
			}
		}
		all = append(all, numbered(fmt.Sprintf("no claps, %s", noise.Kind), i, s))
	}
	return all
}
