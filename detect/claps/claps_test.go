package claps

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// sound is so many seconds of noise with steps of 180 a minute in it, and claps at
// times, s, each of a level over the steps, dB.
func sound(rate, seconds float64, times []float64, over float64) []float64 {
	rng := rand.New(rand.NewPCG(1, 1))
	x := make([]float64, int(rate*seconds))
	for i := range x {
		x[i] = 0.001 * rng.NormFloat64()
	}
	burst := func(at, level, fade float64) {
		for i := int(at * rate); i < min(len(x), int((at+10*fade)*rate)); i++ {
			x[i] += level * rng.NormFloat64() * math.Exp(-(float64(i)/rate-at)/fade)
		}
	}
	for t := 0.1; t < seconds; t += 60 / 180.0 {
		burst(t, 0.01, 0.02)
	}
	for _, t := range times {
		burst(t, 0.01*math.Pow(10, over/20), 0.006)
	}
	return x
}

func hear(t *testing.T, rate float64, x []float64) []Double {
	t.Helper()
	f, err := New(rate)
	if err != nil {
		t.Fatal(err)
	}
	return f.Feed(nil, x)
}

// TestSign: what is a sign and what is not.
func TestSign(t *testing.T) {
	for _, c := range []struct {
		name  string
		times []float64
		over  float64
		want  []float64 // of the first claps
	}{
		{"nobody claps", nil, 0, nil},
		{"one clap", []float64{6}, 20, nil},
		{"two", []float64{6, 6.4}, 20, []float64{6}},
		{"two, near", []float64{6, 6.27}, 20, []float64{6}},
		{"two, far", []float64{6, 6.58}, 20, []float64{6}},
		{"two, too near", []float64{6, 6.2}, 20, nil},
		{"two, too far", []float64{6, 6.66}, 20, nil},
		{"three", []float64{6, 6.4, 6.8}, 20, nil},
		{"applause", []float64{6, 6.3, 6.6, 6.9, 7.2, 7.5, 7.8, 8.1, 8.4}, 20, nil},
		{"twice two", []float64{6, 6.4, 11, 11.5}, 20, []float64{6, 11}},
		{"no louder than the steps", []float64{6, 6.4}, 3, nil},
		{"before three seconds were heard", []float64{2, 2.4}, 20, nil},
	} {
		for _, rate := range []float64{8000, 16000, 22050, 24000} {
			t.Run(fmt.Sprintf("%s, %g Hz", c.name, rate), func(t *testing.T) {
				got := hear(t, rate, sound(rate, 14, c.times, c.over))
				if len(got) != len(c.want) {
					t.Fatalf("%+v, want %v", got, c.want)
				}
				for i, d := range got {
					if math.Abs(d.First-c.want[i]) > 0.01 || d.Second-d.First < 0.25 || d.Second-d.First > 0.6 || d.Over < over {
						t.Errorf("%+v, want it at %g s", d, c.want[i])
					}
				}
			})
		}
	}
}

// TestToldSoon: two claps are told 0.65 s after the second one, and in whatever
// pieces the sound comes.
func TestToldSoon(t *testing.T) {
	const rate = 24000
	x := sound(rate, 9, []float64{6, 6.4}, 20)
	want := hear(t, rate, x)
	for _, piece := range []int{1, 119, 120, 1000} {
		f, err := New(rate)
		if err != nil {
			t.Fatal(err)
		}
		var got []Double
		told := 0.0
		for i := 0; i < len(x); i += piece {
			if got = f.Feed(got, x[i:min(len(x), i+piece)]); len(got) > 0 && told == 0 {
				told = float64(min(len(x), i+piece)) / rate
			}
		}
		if len(got) != 1 || got[0] != want[0] {
			t.Errorf("pieces of %d give %+v, want %+v", piece, got, want)
		}
		if told < 7.04 || told > 7.06+float64(piece)/rate {
			t.Errorf("pieces of %d: told at %.3f s, want 0.65 s after the second clap", piece, told)
		}
	}
}

// TestSkip: lost samples take time, nothing is made of what is on both sides of
// them, and three seconds later all is as before.
func TestSkip(t *testing.T) {
	const rate = 24000
	f, err := New(rate)
	if err != nil {
		t.Fatal(err)
	}
	x := sound(rate, 6.2, []float64{6}, 20)
	got := f.Feed(nil, x)
	f.Skip(int64(0.1 * rate))
	y := sound(rate, 6, []float64{0.1, 4, 4.4}, 20)
	got = f.Feed(got, y)
	if len(got) != 1 || math.Abs(got[0].First-10.3) > 0.01 {
		t.Errorf("%+v, want one at 10.3 s", got)
	}
}

func TestRates(t *testing.T) {
	for _, rate := range []float64{0, -1, 5999, 400001, math.NaN(), math.Inf(1)} {
		if _, err := New(rate); err == nil {
			t.Errorf("%g Hz is taken", rate)
		}
	}
}

// FuzzFeed: whatever comes, nothing panics, and two claps are two claps.
func FuzzFeed(f *testing.F) {
	f.Add(uint64(1), 8000.0, 0.1, 60)
	f.Add(uint64(2), 24000.0, math.Inf(1), 7)
	f.Add(uint64(3), 6000.0, math.NaN(), 9)
	f.Add(uint64(4), 6000.0, 1e308, 60)
	f.Fuzz(func(t *testing.T, seed uint64, rate, level float64, claps int) {
		if !(rate >= 6000 && rate <= 24000) {
			return
		}
		d, err := New(rate)
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(seed, 2))
		var got []Double
		for range min(max(claps, 0), 60) {
			x := sound(rate, 0.1+0.5*rng.Float64(), []float64{0.05}, 40*rng.Float64())
			for i := range x {
				if rng.IntN(1000) == 0 {
					x[i] *= level
				}
			}
			got = d.Feed(got, x)
			if rng.IntN(20) == 0 {
				d.Skip(rng.Int64N(100000))
			}
		}
		for _, d := range got {
			if gap := d.Second - d.First; !(d.First >= 0 && gap > 0.24 && gap < 0.62 && d.Over >= over) {
				t.Errorf("%+v", d)
			}
		}
	})
}

// BenchmarkFeed feeds a second with two claps in it, in blocks.
func BenchmarkFeed(b *testing.B) {
	const rate = 24000
	f, err := New(rate)
	if err != nil {
		b.Fatal(err)
	}
	x := sound(rate, 8, []float64{6, 6.4}, 20)
	found := make([]Double, 0, 4)
	found = f.Feed(found, x)
	if allocs := testing.AllocsPerRun(8, func() { found = f.Feed(found[:0], x) }); allocs > 0 {
		b.Errorf("%g allocations a run", allocs)
	}
	b.ReportAllocs()
	for b.Loop() {
		found = f.Feed(found[:0], x[:rate])
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x_real_time")
}

// TestAllocs: no memory is taken once it is made.
func TestAllocs(t *testing.T) {
	const rate = 24000
	f, err := New(rate)
	if err != nil {
		t.Fatal(err)
	}
	x := sound(rate, 8, []float64{6, 6.4}, 20)
	found := make([]Double, 0, 4)
	if allocs := testing.AllocsPerRun(8, func() { found = f.Feed(found[:0], x) }); allocs > 0 {
		t.Errorf("%g allocations for 8 s of sound", allocs)
	}
	if len(found) != 1 {
		t.Errorf("%d found, want the claps of the last run", len(found))
	}
}
