package sim

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// strides are the times from a left contact to the next.
func strides(steps []Step) []float64 {
	var all []float64
	for i := 2; i < len(steps); i += 2 {
		all = append(all, steps[i].T-steps[i-2].T)
	}
	return all
}

// dfa is the exponent of the detrended fluctuation analysis of xs (Peng et al.
// 1994), over boxes of 4 to a quarter of the values.
func dfa(xs []float64) float64 {
	mean := stat.Mean(xs, nil)
	walk := make([]float64, len(xs))
	sum := 0.0
	for i, x := range xs {
		sum += x - mean
		walk[i] = sum
	}
	var logN, logF []float64
	for n := 4; n <= len(xs)/4; n = n*3/2 + 1 {
		t := make([]float64, n)
		for i := range t {
			t[i] = float64(i)
		}
		var squares float64
		boxes := len(walk) / n
		for b := range boxes {
			y := walk[b*n : (b+1)*n]
			a, k := stat.LinearRegression(t, y, nil, false)
			for i := range y {
				d := y[i] - a - k*t[i]
				squares += d * d
			}
		}
		logN = append(logN, math.Log(float64(n)))
		logF = append(logF, math.Log(math.Sqrt(squares/float64(boxes*n))))
	}
	_, exponent := stat.LinearRegression(logN, logF, nil, false)
	return exponent
}

// lag1 is the correlation of each value with the next.
func lag1(xs []float64) float64 { return stat.Correlation(xs[1:], xs[:len(xs)-1], nil) }

// An hour at free pace has correlated stride times with a DFA exponent of about
// 0.75 to 0.9, shuffled 0.5, and under a metronome they anti-correlate
// (Hausdorff et al. 1996); their CV is 1.3 % (Hausdorff et al., PhysioNet
// gait-maturation-db).
func TestStrideTimes(t *testing.T) {
	const hour = 60 * 180
	var cv, free, shuffled, led []float64
	for seed := range uint64(6) {
		alone := strides(walk(newBody(plain(seed)), hour, nil))
		mean, sd := stat.MeanStdDev(alone, nil)
		cv, free = append(cv, 100*sd/mean), append(free, dfa(alone))
		if r := lag1(alone); r <= 0.1 {
			t.Errorf("seed %d: successive strides alone correlate by %.2f, want well above 0", seed, r)
		}
		r := rand.New(rand.NewPCG(seed, 99))
		r.Shuffle(len(alone), func(i, j int) { alone[i], alone[j] = alone[j], alone[i] })
		shuffled = append(shuffled, dfa(alone))
		beat := strides(walk(newBody(plain(seed)), hour, func(n int) float64 { return float64(n) / 3 }))
		led = append(led, dfa(beat))
		if r := lag1(beat); r >= -0.1 {
			t.Errorf("seed %d: successive strides under a metronome correlate by %.2f, want well below 0", seed, r)
		}
	}
	t.Logf("CV %.2f %%, DFA alone %.2f, shuffled %.2f, under a metronome %.2f", cv, free, shuffled, led)
	for _, want := range []struct {
		what   string
		got    []float64
		lo, hi float64
	}{
		{"CV, %", cv, 1.15, 1.45},
		{"DFA exponent alone", free, 0.75, 0.90},
		{"DFA exponent shuffled", shuffled, 0.45, 0.55},
		{"DFA exponent under a metronome", led, 0, 0.4},
	} {
		if m := stat.Mean(want.got, nil); m < want.lo || m > want.hi {
			t.Errorf("%s is %.3f in the mean, want %g to %g", want.what, m, want.lo, want.hi)
		}
	}
}
