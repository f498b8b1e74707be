package detect

import (
	"math"
	"testing"
)

// through returns the power that a sine of relative frequency f keeps.
func through(stages int, f float64) float64 {
	const n = 480
	h := newHalver(stages, n)
	x := make([]float64, n)
	var sum, count float64
	for k := range 10 {
		for i := range x {
			x[i] = math.Sqrt2 * math.Sin(2*math.Pi*f*float64(k*n+i))
		}
		for _, y := range h.run(x[:n]) {
			if k > 0 { // the first block still fills the filter
				sum += y * y
				count++
			}
		}
	}
	return sum / count
}

// What the evidence uses passes, what would fold onto it does not.
func TestHalverResponse(t *testing.T) {
	for _, c := range []struct {
		hz       float64
		low, top float64 // dB
	}{
		{100, -0.1, 0.1}, {7000, -0.5, 0.1}, {highestHz, -3, 0.1}, {17000, -200, -35}, {23000, -200, -35},
	} {
		if dB := 10 * math.Log10(through(1, c.hz/48000)); dB < c.low || dB > c.top {
			t.Errorf("%g Hz at 48 kHz: %.2f dB, want %g to %g", c.hz, dB, c.low, c.top)
		}
	}
	if dB := 10 * math.Log10(through(3, 1000.0/192000)); math.Abs(dB) > 0.1 {
		t.Errorf("1 kHz through three stages: %.2f dB", dB)
	}
}

func TestHalvings(t *testing.T) {
	for rate, want := range map[float64]int{8000: 0, 22050: 0, 44100: 1, 48000: 1, 96000: 2, 192000: 3, 400000: 4} {
		if n := halvings(rate); n != want {
			t.Errorf("%g Hz is halved %d times, want %d", rate, n, want)
		}
	}
}
