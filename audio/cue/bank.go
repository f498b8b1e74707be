package cue

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/faiface/beep"

	"steadfoot/audio"
)

// bank makes all tones once; they are never changed afterwards.
var bank = sync.OnceValue(func() *[sounds]*Clip {
	var b [sounds]*Clip
	left, right := sing(recipe(ClickLeft)), sing(recipe(ClickRight))
	levelClicks(left, right)
	b[ClickLeft], b[ClickRight] = newClip(left), newClip(right)
	b[ClickLeft].right, b[ClickRight].left = farEar, farEar
	var all []func()
	for s := ClickRight + 1; s < sounds; s++ {
		all = append(all, func() {
			mono, _ := level(sing(recipe(s)))
			if s == Countdown {
				mono = append(mono, make([]float64, 3*audio.Rate-len(mono))...)
			}
			b[s] = newClip(mono)
		})
	}
	together(all...)
	return &b
})

// together does all of them, as many at a time as there are processors. A walk waits
// for its sounds.
func together(do ...func()) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(do)) {
		wait.Go(func() {
			for i := next.Add(1) - 1; i < int64(len(do)); i = next.Add(1) - 1 {
				do[i]()
			}
		})
	}
	wait.Wait()
}

// levelClicks scales both clicks to one K-weighted energy, as great as lets both
// peaks stay within roomPeak. Clicks are not levelled by [Loudness]: they are
// far shorter than its 400 ms, and what matters is that both feet sound equally
// strong.
func levelClicks(clicks ...[]float64) {
	most := math.Inf(1)
	for _, x := range clicks {
		room := roomPeak / peak(x)
		most = min(most, energy(x)*room*room)
	}
	for _, x := range clicks {
		scale(x, math.Sqrt(most/energy(x)))
	}
}

func energy(mono []float64) float64 {
	sum := 0.0
	for _, p := range kPower(mono) {
		sum += p
	}
	return sum
}

// Streamer gives s as a stereo streamer at audio.Rate, at the level it has at
// full volume. It panics when s is none of [All].
func Streamer(s Sound) beep.StreamSeeker { return bank()[s].Streamer() }
