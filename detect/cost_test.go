package detect

import (
	"fmt"
	"math"
	"testing"
)

// What the detector costs: go test ./detect -run '^$' -bench 'Rate|Range'.

// thuds is a second of sound at the rate with three steps in it, over noise.
func thuds(rate float64) []float32 {
	x := make([]float32, int(rate))
	seed := uint32(1)
	for i := range x {
		seed = seed*1664525 + 1013904223
		noise := float64(seed>>8)/(1<<24) - 0.5
		since := math.Mod(float64(i)/rate, 1.0/3)
		x[i] = float32(0.02*noise + 0.4*noise*math.Exp(-since/0.02))
	}
	return x
}

// BenchmarkRate feeds a second of sound at each sample rate.
func BenchmarkRate(b *testing.B) {
	for _, rate := range []float64{8000, 16000, 44100, 48000, 96000, 192000} {
		b.Run(fmt.Sprintf("%gHz", rate), func(b *testing.B) {
			d, err := NewSound(SoundConfig{Rate: rate})
			if err != nil {
				b.Fatal(err)
			}
			x := thuds(rate)
			events := make([]Event, 0, 256)
			for range 10 { // a walk is being followed
				events = d.Feed(events[:0], x)
			}
			b.ReportAllocs()
			for b.Loop() {
				events = d.Feed(events[:0], x)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x_real_time")
		})
	}
}

// BenchmarkRange runs the rhythm filter alone over a second of evidence, with
// ranges of cadence up to three times as wide as the usual one.
func BenchmarkRange(b *testing.B) {
	for _, r := range [][2]float64{{170, 210}, {130, 240}, {Slowest, Fastest}, {60, 240}, {40, 300}} {
		b.Run(fmt.Sprintf("%g-%g", r[0], r[1]), func(b *testing.B) {
			t := soundTuning(200)
			t.slowest, t.fastest = r[0], r[1]
			k := newTracker(t)
			second := func() {
				for i := range 200 {
					k.next(evidenceAt(i), true)
				}
			}
			for range 10 {
				second()
			}
			b.ReportAllocs()
			for b.Loop() {
				second()
			}
			b.ReportMetric(float64(k.filter.states), "states")
		})
	}
}

// evidenceAt is that of frame i: steps at 190 a minute between smaller peaks.
func evidenceAt(i int) float64 {
	at := math.Mod(float64(i), 200*60/190.0)
	if at < 1 {
		return 3
	}
	return 0.25 + 0.2*math.Sin(float64(i)*1.7)
}
