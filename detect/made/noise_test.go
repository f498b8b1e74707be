package made

import (
	"math"
	"testing"
)

// A band an octave higher of 1/f noise carries the same power; of white noise,
// twice as much.
func TestPinkFallsAsItShould(t *testing.T) {
	x := make([]float64, 48000*10)
	fillPink(x, stream(1, 1), 48000)
	var octave []float64
	for hz := 125.0; hz <= 4000; hz *= 2 {
		y := append([]float64{}, x...)
		bandPass(y, 48000, hz, 2)
		octave = append(octave, 10*math.Log10(power(y)))
	}
	for i, dB := range octave {
		if math.Abs(dB-octave[2]) > 1 {
			t.Errorf("octave %d is %.1f dB from that at 500 Hz, want within 1", i, dB-octave[2])
		}
	}
}

func TestFlickerHasUnitVariance(t *testing.T) {
	f := newFlicker(stream(2, 1), 0.004, 0.5)
	x := make([]float64, 200000)
	for i := range x {
		x[i] = f.next()
	}
	if p := power(x); math.Abs(p-1) > 0.1 {
		t.Errorf("variance %.3f, want 1", p)
	}
}

// Breath of 2:2 repeats every four steps: its level follows the cycle.
func TestBreathFollowsTheSteps(t *testing.T) {
	steps := Gait{Cadence: Steady(180)}.Steps(1, 40)
	x := make([]float64, 40*8000)
	breath(x, stream(1, 1), 8000, steps, 4)
	var in, out float64
	for i := 0; i+4 < len(steps); i += 4 {
		a, b, c := int(steps[i].T*8000), int(steps[i+2].T*8000), int(steps[i+4].T*8000)
		in, out = in+power(x[a:b]), out+power(x[b:c])
	}
	if out < 1.5*in || in == 0 {
		t.Errorf("power in %.3g, out %.3g: want out louder", in, out)
	}
}

// The gain of the resampler below and above what the new rate holds.
func TestResampleKeepsOutWhatDoesNotFit(t *testing.T) {
	tone := func(hz float64) []float64 {
		x := make([]float32, 4800)
		for i := range x {
			x[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / 48000))
		}
		y := resample(x, 48000.0/16000)
		return y[200 : len(y)-200]
	}
	if p := power(tone(2000)); math.Abs(p-0.5) > 0.005 {
		t.Errorf("2 kHz comes through with power %.4f, want 0.5", p)
	}
	if p := power(tone(10000)); p > 1e-4 {
		t.Errorf("10 kHz, which 16 kHz sampling cannot hold, comes through with power %.2g", p)
	}
}
