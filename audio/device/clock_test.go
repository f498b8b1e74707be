package device

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/internal/wire"
)

// A sound process whose own clock began 3.2 s before ours sends blocks of a
// device 80 ppm fast. They come up to 2 ms after they were sent, were sent up to 10 ms
// after the callback, and that came up to 10 ms after the capture, as the
// device's times tell: session time is known within 0.2 ms, also after a gap and
// after another process with another clock has taken over.
func TestSessionClockSeesThroughTheWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 8))
	d := Duplex{clock: newSessionClock()}
	if _, ok := d.SessionAt(0); ok {
		t.Error("session time is known before any block")
	}
	const n = 512
	other, index := 3.2, int64(0) // the process's clock minus ours, and the block's end
	worst := 0.0
	for k := range 6000 {
		if index += n; k == 2000 {
			index += audio.Rate / 5 // lost
		}
		if k == 4000 {
			other = -50
			d.clock.restart()
		}
		captured := 100 + float64(index)/audio.Rate/(1+80e-6)
		age := 0.010 * rng.Float64()
		called := captured + age
		sent := called + 0.010*rng.Float64()
		h := wire.BlockHead{Frames: n, Clock: ns(called + other), Sent: ns(sent + other)}
		h.Now = ns(5e5 + called)
		h.ADC = h.Now - ns(age) - ns(float64(n)/audio.Rate)
		d.clock.note(&h, time.Duration(ns(sent+0.002*rng.Float64())), index, k == 2000)
		if k%2000 < 1000 {
			continue // it learns
		}
		s, _ := d.SessionAt(time.Duration(ns(captured)))
		worst = max(worst, math.Abs(s-float64(index)/audio.Rate))
		if at, ok := d.TimeAt(s); !ok || math.Abs(at.Seconds()-captured) > 1e-8 {
			t.Fatalf("TimeAt gives %v for %v s", at, captured)
		}
	}
	t.Logf("off by %.0f µs at most", 1e6*worst)
	if worst > 0.2e-3 {
		t.Errorf("off by %.0f µs, want at most 200", 1e6*worst)
	}
}

func ns(sec float64) int64 { return int64(math.Round(1e9 * sec)) }
