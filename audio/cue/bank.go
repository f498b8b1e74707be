package cue

import (
	"math"
	"sync"

	"github.com/faiface/beep"
)

// roomPeak is the greatest sample of any sound in the bank, 6.02 dB under the
// highest ceiling: a click and a cue that coincide just reach it, so the
// limiter leaves the beat alone while a cue sounds.
const roomPeak = 0.5 * ceilingMax

// clip is a finished sound.
type clip struct {
	frames [][2]float64
	onset  int // index of the first frame that reaches half of the peak
}

// bank makes all sounds once; they are never changed afterwards.
var bank = sync.OnceValue(func() *[sounds]clip {
	var b [sounds]clip
	for s := range b {
		b[s].frames = place(Sound(s), sing(recipe(Sound(s))))
	}
	level(b[:Start], func(f [][2]float64) float64 { return energy(f) })
	level(b[Start:], func(f [][2]float64) float64 { return math.Pow(10, Loudness(f)/10) })
	for s := range b {
		b[s].onset = onset(b[s].frames)
	}
	return &b
})

// place puts mono samples into both ears, a click 3 dB stronger on its foot's side.
func place(s Sound, mono []float64) [][2]float64 {
	left, right := 1.0, 1.0
	switch s {
	case ClickLeft:
		right = farEar
	case ClickRight:
		left = farEar
	}
	out := make([][2]float64, len(mono))
	for i, x := range mono {
		out[i] = [2]float64{x * left, x * right}
	}
	return out
}

// energy is the K-weighted energy of a sound. Clicks are levelled by it, not by
// [Loudness]: they are far shorter than its 400 ms, and what matters is that
// both feet sound equally strong.
func energy(frames [][2]float64) float64 {
	sum := 0.0
	for _, p := range kPower(frames) {
		sum += p
	}
	return sum
}

// level scales the clips to one power, as great as lets every peak stay within
// roomPeak.
func level(clips []clip, power func([][2]float64) float64) {
	most := math.Inf(1)
	for _, c := range clips {
		room := roomPeak / peak(c.frames)
		most = min(most, power(c.frames)*room*room)
	}
	for _, c := range clips {
		gain := math.Sqrt(most / power(c.frames))
		for i := range c.frames {
			c.frames[i][0] *= gain
			c.frames[i][1] *= gain
		}
	}
}

func peak(frames [][2]float64) float64 {
	most := 0.0
	for _, f := range frames {
		most = max(most, math.Abs(f[0]), math.Abs(f[1]))
	}
	return most
}

func onset(frames [][2]float64) int {
	half := peak(frames) / 2
	for i, f := range frames {
		if max(math.Abs(f[0]), math.Abs(f[1])) >= half {
			return i
		}
	}
	return 0
}

// Streamer gives s as a stereo streamer at audio.Rate, at the level it has at
// full volume. It panics when s is none of [All].
func Streamer(s Sound) beep.StreamSeeker { return &clipStreamer{clip: bank()[s]} }
