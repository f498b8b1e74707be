package sinc

import (
	"math"
	"testing"

	"steadfoot/audio"
)

// snr is the power of a sine of that frequency against what reading it at
// another speed makes wrong, in dB.
func snr(hz, speed float64) float64 {
	sine := func(at float64) float64 { return 0.5 * math.Sin(2*math.Pi*hz*at/audio.Rate) }
	var power, wrong float64
	for i := range 20000 {
		at := 1000 + speed*float64(i)
		whole := math.Floor(at)
		var w [Taps]audio.Frame
		for k := range w {
			v := float32(sine(whole + float64(k-(Before-1))))
			w[k] = audio.Frame{v, -v}
		}
		got, want := At(&w, at-whole), sine(at)
		power += want * want
		wrong += (float64(got[0]) - want) * (float64(got[0]) - want)
		if got[1] != -got[0] {
			return 0
		}
	}
	return 10 * math.Log10(power/wrong)
}

// A sine read 300 ppm fast or slow stays a sine: clicks and voices have nothing
// above 16 kHz, and little above 10.
func TestSineStaysASine(t *testing.T) {
	for hz, want := range map[float64]float64{100: 110, 1000: 94, 5000: 94, 10000: 94, 16000: 94, 20000: 60} {
		for _, ppm := range []float64{-300, 300} {
			got := snr(hz, 1+ppm*1e-6)
			t.Logf("%5.0f Hz, %+4.0f ppm: %.1f dB", hz, ppm, got)
			if got < want {
				t.Errorf("%.0f Hz at %+.0f ppm: %.1f dB, want at least %.0f", hz, ppm, got, want)
			}
		}
	}
}

// On a sample the value is that sample; between equal ones it is their value.
func TestSamplesAndConstants(t *testing.T) {
	var w [Taps]audio.Frame
	for k := range w {
		w[k] = audio.Frame{float32(k * k), 1}
	}
	if v := At(&w, 0); math.Abs(float64(v[0])-(Before-1)*(Before-1)) > 1e-3 {
		t.Errorf("on a sample of %d: %v", (Before-1)*(Before-1), v[0])
	}
	for f := 0.0; f < 1; f += 0.0137 {
		if v := At(&w, f); math.Abs(float64(v[1])-1) > 1e-6 {
			t.Fatalf("at %.3f between ones: %v", f, v[1])
		}
	}
}

func BenchmarkAt(b *testing.B) {
	var w [Taps]audio.Frame
	b.ReportAllocs()
	f := 0.0
	for b.Loop() {
		At(&w, f)
		if f += 1e-4; f >= 1 {
			f = 0
		}
	}
}
