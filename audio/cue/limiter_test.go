package cue

import (
	"math"
	"math/rand/v2"
	"testing"

	"steadfoot/audio"
)

// run feeds x and gives the output without the delay, one frame per frame of x.
func run(l *limiter, x [][2]float64) (out [][2]float64, gains []float64) {
	for i := range len(x) + LookAhead {
		var f [2]float64
		if i < len(x) {
			f = x[i]
		}
		y, g := l.next(f)
		if i >= LookAhead {
			out, gains = append(out, y), append(gains, g)
		}
	}
	return out, gains
}

// Any input stays within the ceiling, and the gain is what the plain definition
// gives: lowest in the window, release, two averages.
func TestLimiterAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for round := range 20 {
		x := make([][2]float64, 6000)
		for i := range x {
			switch r.IntN(200 * (1 + round)) { // from crowded peaks to lone ones
			case 0:
				x[i] = [2]float64{40 * r.NormFloat64(), 4 * r.NormFloat64()}
			default:
				x[i] = [2]float64{0.3 * r.NormFloat64(), 0.3 * r.NormFloat64()}
			}
		}
		out, gains := run(newLimiter(ceilingMax, slowRelease), x)
		want := plainGains(x, ceilingMax)
		for i := range out {
			if p := peakOf(out[i : i+1]); p > ceilingMax {
				t.Fatalf("round %d: frame %d reaches %g, ceiling %g", round, i, p, ceilingMax)
			}
			if math.Abs(gains[i]-want[i]) > 1e-8 {
				t.Fatalf("round %d: frame %d has gain %.12f, want %.12f", round, i, gains[i], want[i])
			}
		}
	}
}

// plainGains computes the limiter's gains slowly and in floating point.
func plainGains(x [][2]float64, ceiling float64) []float64 {
	n := len(x) + LookAhead
	need, held := make([]float64, n), make([]float64, n)
	for i := range need {
		need[i] = 1
		if i < len(x) {
			if p := peakOf(x[i : i+1]); p > ceiling {
				need[i] = ceiling / p
			}
		}
	}
	last := 1.0
	for i := range held {
		low := 1.0
		for _, v := range need[max(0, i-LookAhead) : i+1] {
			low = min(low, v)
		}
		last = min(low, last+(1-last)/(1<<slowRelease))
		held[i] = last
	}
	mean := func(v []float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			sum := 0.0
			for k := range smooth {
				if i-k < 0 {
					sum++
				} else {
					sum += v[i-k]
				}
			}
			out[i] = sum / smooth
		}
		return out
	}
	return mean(mean(held))[LookAhead:]
}

func TestLimiterIsTransparentBelowCeiling(t *testing.T) {
	x := sine(1000, 0.999*ceilingMax, 5000)
	out, _ := run(newLimiter(ceilingMax, slowRelease), x)
	for i := range x {
		if out[i] != x[i] {
			t.Fatalf("frame %d: %v became %v", i, x[i], out[i])
		}
	}
}

// After a peak the gain comes back to exactly 1, and stays.
func TestLimiterRecovers(t *testing.T) {
	x := make([][2]float64, 4*audio.Rate)
	x[1000] = [2]float64{8, -8}
	_, gains := run(newLimiter(ceilingMax, slowRelease), x)
	if g := gains[1000]; g > ceilingMax/8 {
		t.Errorf("gain %g at the peak", g)
	}
	if g := gains[1000-LookAhead-1]; g != 1 {
		t.Errorf("gain %g before the look-ahead", g)
	}
	if g := gains[len(gains)-1]; g != 1 {
		t.Errorf("gain %.15f at the end", g)
	}
	for i := 1001; i < len(gains); i++ {
		if gains[i] < gains[i-1] {
			t.Fatalf("gain falls after the peak, at %d", i)
		}
	}
}

// A tone 6 dB over the ceiling must come out as a tone: what is not the tone
// stays 80 dB under it, where clipping leaves about a tenth.
func TestLimiterDoesNotDistort(t *testing.T) {
	for _, freq := range []float64{200, 1000, 2940} {
		x := sine(freq, 2*ceilingMax, 3*audio.Rate)
		out, _ := run(newLimiter(ceilingMax, slowRelease), x)
		limited, clipped := make([]float64, audio.Rate), make([]float64, audio.Rate)
		for i := range limited {
			limited[i] = out[audio.Rate+i][0]
			clipped[i] = max(-ceilingMax, min(ceilingMax, x[audio.Rate+i][0]))
		}
		if got := residueDB(limited, freq); got > -80 {
			t.Errorf("%g Hz: residue %.1f dB limited", freq, got)
		}
		if got := residueDB(clipped, freq); got < -30 {
			t.Errorf("%g Hz: residue %.1f dB clipped: the measure is blind", freq, got)
		}
		if got := 20 * math.Log10(rms(limited)*math.Sqrt2/ceilingMax); got < -0.1 {
			t.Errorf("%g Hz: %.2f dB under the ceiling, more than needed", freq, got)
		}
	}
}

// residueDB is the power of one second of x outside its tone, against the tone.
func residueDB(x []float64, freq float64) float64 {
	power, hz := spectrum(x)
	tone, rest := 0.0, 0.0
	for k, p := range power {
		if math.Abs(float64(k)*hz-freq) <= 3 {
			tone += p
		} else {
			rest += p
		}
	}
	return 10 * math.Log10(rest/tone)
}

func TestLimiterTakesAnyNumber(t *testing.T) {
	x := sine(1000, 0.5, 4000)
	x[100][0], x[900][1], x[2000][0] = math.NaN(), math.Inf(-1), math.MaxFloat64
	out, _ := run(newLimiter(ceilingMax, slowRelease), x)
	for i := range out {
		if p := peakOf(out[i : i+1]); !(p <= ceilingMax) || math.IsNaN(out[i][0]+out[i][1]) {
			t.Fatalf("frame %d: %v", i, out[i])
		}
	}
	if out[100] != [2]float64{} || out[500] != x[500] {
		t.Error("a bad sample must become silence and leave the others alone")
	}
}
