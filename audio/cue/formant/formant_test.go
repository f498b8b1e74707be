package formant

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"
)

const rate = 48000

// The worked values for F = 730 Hz and a width of 60 Hz, computed from the
// formula of Klatt (1980, JASA 67:971; also phon.ox.ac.uk/klatt_resonators).
func TestResonator(t *testing.T) {
	for _, c := range []struct{ rate, a, b, c float64 }{
		{10000, .20320656, 1.75979609, -.96300265},
		{48000, .00910375, 1.98307303, -.99217678},
	} {
		var r resonator
		r.tune(730, 60, c.rate)
		if got := []float64{r.a, r.b, r.c}; !floats.EqualApprox(got, []float64{c.a, c.b, c.c}, 1e-8) {
			t.Errorf("at %g Hz: %.8f, want %v", c.rate, got, c)
		}
		gain := func(f float64) float64 {
			z := cmplx.Exp(complex(0, -2*math.Pi*f/c.rate))
			return cmplx.Abs(complex(r.a, 0) / (1 - complex(r.b, 0)*z - complex(r.c, 0)*z*z))
		}
		if g := gain(0); math.Abs(g-1) > 1e-9 {
			t.Errorf("at %g Hz: gain %.9f at 0 Hz", c.rate, g)
		}
		if db := 20 * math.Log10(gain(730)); math.Abs(db-21.7) > 0.2 {
			t.Errorf("at %g Hz: peak %+.2f dB, want +21.7", c.rate, db)
		}
		if db := 20 * math.Log10(gain(760)/gain(730)); math.Abs(db+3) > 0.3 {
			t.Errorf("at %g Hz: half the width off it is %.2f dB", c.rate, db)
		}
	}
}

// lines gives the level of each harmonic of pitch up to 4 kHz, in dB; element 0
// is the first. x must be a whole number of seconds long.
func lines(x []float64, pitch float64) []float64 {
	w := make([]float64, len(x))
	for i := range x {
		w[i] = x[i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x))))
	}
	c := fourier.NewFFT(len(x)).Coefficients(nil, w)
	var db []float64
	for f := pitch; f < 4000; f += pitch {
		bin := int(math.Round(f * float64(len(x)) / rate))
		most := 0.0
		for _, v := range c[bin-2 : bin+3] {
			most = max(most, cmplx.Abs(v))
		}
		db = append(db, 20*math.Log10(most))
	}
	return db
}

// peaks gives the frequencies, in order, at which the levels are at least 1 dB
// above what lies between them.
func peaks(db []float64, pitch float64) []float64 {
	var all []float64
	top, low, up := 0, math.Inf(-1), true
	for k, v := range db {
		switch {
		case up && v > db[top]:
			top = k
		case up && v < db[top]-1:
			all = append(all, crest(db, top)*pitch)
			low, up = v, false
		case !up && v < low:
			low = v
		case !up && v > low+1:
			top, up = k, true
		}
	}
	return all
}

// crest is the top of a parabola through the levels around k, in harmonics.
func crest(db []float64, k int) float64 {
	if k == 0 || k == len(db)-1 {
		return float64(k + 1)
	}
	below, here, above := db[k-1], db[k], db[k+1]
	return float64(k+1) + (above-below)/2/(2*here-above-below)
}

// tract is the level that the mouth gives to each harmonic of pitch, in dB: a
// vowel's lines less those of the pulses alone.
func tract(formants [3]float64, pitch float64) []float64 {
	got := lines(Hold(rate, formants, pitch, 1.5)[rate/2:], pitch)
	g := newGlottis(rate)
	pulses := make([]float64, rate*3/2)
	for i := range pulses {
		pulses[i] = g.next(pitch)
	}
	floats.Sub(got, lines(pulses[rate/2:], pitch))
	return got
}

// The envelope of every vowel of the table, men's and women's, sampled every 25 Hz
// by a very low voice, has its first two peaks within 5 % of the first two
// formants.
func TestVowelEnvelopes(t *testing.T) {
	const pitch = 25
	for _, v := range Vowels {
		for who, want := range v.Formants {
			got := peaks(tract(want, pitch), pitch)
			if len(got) < 2 {
				t.Errorf("%s of speaker %d: %d peaks", v.Symbol, who, len(got))
				continue
			}
			for k := range 2 {
				if d := got[k]/want[k] - 1; math.Abs(d) > 0.05 {
					t.Errorf("%s of speaker %d: F%d at %.0f Hz, want %.0f (%+.1f %%)", v.Symbol, who, k+1, got[k], want[k], 100*d)
				}
			}
		}
	}
}

// On the speakers' own pitch a formant can show no better than at a harmonic: a
// peak is within 5 % or one harmonic of each of the first two formants. Formants
// less than 2.2 harmonics apart may share one peak, anywhere between them.
func TestVowelsOnTheirPitch(t *testing.T) {
	shared := 0
	for _, v := range Vowels {
		for who, want := range v.Formants {
			pitch := v.Pitch[who]
			got := peaks(tract(want, pitch), pitch)
			for k := range 2 {
				tolerance := max(0.05*want[k], pitch)
				near := func(lo, hi float64) bool {
					return slices.ContainsFunc(got, func(f float64) bool { return f >= lo-tolerance && f <= hi+tolerance })
				}
				if near(want[k], want[k]) {
					continue
				}
				if k > 0 && want[k]-want[k-1] < 2.2*pitch && near(want[k-1], want[k]) ||
					want[k+1]-want[k] < 2.2*pitch && near(want[k], want[k+1]) {
					shared++
					continue
				}
				t.Errorf("%s of speaker %d on %.0f Hz: peaks at %.0f, want F%d at %.0f", v.Symbol, who, pitch, got, k+1, want[k])
			}
		}
	}
	if shared > 2 {
		t.Errorf("%d of 40 formants cannot be seen for another", shared)
	}
}

// No vowel can be taken for another by the levels of its harmonics.
func TestVowelsDiffer(t *testing.T) {
	const pitch = 130
	var all [][]float64
	for _, v := range Vowels {
		x := lines(Hold(rate, v.Formants[Men], pitch, 1), pitch)
		floats.AddConst(-floats.Max(x), x)
		for i, u := range all {
			if d := floats.Distance(x, u, 2) / math.Sqrt(float64(len(x))); d < 3 {
				t.Errorf("%s and %s differ by only %.1f dB", Vowels[i].Symbol, v.Symbol, d)
			}
		}
		all = append(all, x)
	}
}

// pitchAt is the pitch of x around time t, s, by autocorrelation, 70 to 400 Hz.
func pitchAt(x []float64, t float64) float64 {
	i := int(t * rate)
	x = x[i-1200 : i+1200]
	best, at := 0.0, 0
	for lag := rate / 400; lag <= rate/70; lag++ {
		a, b := x[:len(x)-lag], x[lag:]
		if r := floats.Dot(a, b) / (floats.Norm(a, 2) * floats.Norm(b, 2)); r > best+0.01 {
			best, at = r, lag
		}
	}
	return rate / float64(at)
}

func TestPitchFollowsTheContour(t *testing.T) {
	for _, contour := range [][]float64{{120, 200}, {200, 120}, {150}, {110, 180, 110}} {
		x, _, err := Say(rate, "ɑ ɑ ɑ ɑ", contour, 1)
		if err != nil {
			t.Fatal(err)
		}
		s := newScore(slices.Concat(inventory["ɑ"], inventory["ɑ"], inventory["ɑ"], inventory["ɑ"]), contour, 1)
		for at := 0.05; at < 0.55; at += 0.05 {
			if got, want := pitchAt(x, at), s.pitch(at); math.Abs(got/want-1) > 0.03 {
				t.Errorf("contour %v at %.2f s: %.1f Hz, want %.1f", contour, at, got, want)
			}
		}
	}
}

// A pitch that is no whole number of samples stays exact: the 20th harmonic of a
// second is at 20 times the pitch to within the 0.5 Hz of a bin.
func TestPitchIsExact(t *testing.T) {
	pitch := 133.37
	x := Hold(rate, Vowels[3].Formants[Men], pitch, 3)[rate/2 : rate*5/2]
	c := fourier.NewFFT(len(x)).Coefficients(nil, x)
	best, lo := 0, int(19.5*pitch*2)
	for k := lo; k < int(20.5*pitch*2); k++ {
		if cmplx.Abs(c[k]) > cmplx.Abs(c[max(best, lo)]) {
			best = k
		}
	}
	if got := float64(best) / 2; math.Abs(got-20*pitch) > 0.5 {
		t.Errorf("20th harmonic at %.1f Hz, want %.1f", got, 20*pitch)
	}
}

// share is the part of the power of x between two frequencies.
func share(x []float64, lo, hi float64) float64 {
	c := fourier.NewFFT(len(x)).Coefficients(nil, x)
	part, all := 0.0, 0.0
	for k, v := range c {
		p := real(v)*real(v) + imag(v)*imag(v)
		all += p
		if f := float64(k) * rate / float64(len(x)); f >= lo && f < hi {
			part += p
		}
	}
	return part / all
}

func TestConsonants(t *testing.T) {
	for _, c := range []struct {
		phone  string
		lo, hi float64 // where most of its power is, Hz
	}{{"s", 3500, 7500}, {"f", 1500, 9000}, {"m", 100, 600}, {"n", 100, 600}, {"l", 100, 1500}} {
		x, _, err := Say(rate, c.phone+" "+c.phone, []float64{130}, 2)
		if err != nil {
			t.Fatal(err)
		}
		if s := share(x, c.lo, c.hi); s < 0.75 {
			t.Errorf("%s: %.2f of the power in %g-%g Hz", c.phone, s, c.lo, c.hi)
		}
	}
	x, _, err := Say(rate, "ɑ t ɑ", []float64{130}, 1)
	if err != nil {
		t.Fatal(err)
	}
	vowel, shut := floats.Norm(x[3000:5000], 2), floats.Norm(x[8200:9600], 2) // closed from 0.15 to 0.21 s
	if shut > vowel/20 {
		t.Errorf("a closed t has %.3f of the vowel", shut/vowel)
	}
}

func TestEveryPhone(t *testing.T) {
	for _, p := range Phones() {
		a, _, err := Say(rate, "ɑ "+p+" ɑ", []float64{120, 140}, 1)
		if err != nil {
			t.Fatal(err)
		}
		b, _, _ := Say(rate, "ɑ "+p+" ɑ", []float64{120, 140}, 1)
		if !slices.Equal(a, b) {
			t.Errorf("%s: not the same again", p)
		}
		if most := floats.Norm(a, math.Inf(1)); !(most > 0.01 && most < 20) {
			t.Errorf("%s: peak %g", p, most)
		}
	}
}

func TestCannotSay(t *testing.T) {
	for _, c := range []struct {
		phones string
		pitch  []float64
	}{{"", []float64{100}}, {"q", []float64{100}}, {"ɑ", nil}} {
		if _, _, err := Say(rate, c.phones, c.pitch, 1); err == nil {
			t.Errorf("%q was said", c.phones)
		}
	}
}
