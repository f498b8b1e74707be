package timebase

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

const rate = 48000

// clock makes the blocks of a device whose crystal is ppm off and that delivers
// late: by 3 ms and up to jitter more, now and then by 40 ms, and for ten
// seconds of each five minutes by 2 ms more, as on a busy machine.
type clock struct {
	rng    *rand.Rand
	ppm    float64
	jitter float64
	frames int64
	n      int64   // samples delivered
	add    float64 // seconds of delay on top
}

const start = 1000.0 // monotonic time of sample 0, in seconds

// due is when sample i is captured.
func (c *clock) due(i float64) float64 { return start + i/rate/(1+c.ppm*1e-6) }

func (c *clock) next() (end int64, at time.Duration) {
	c.n += c.frames
	d := 0.003 + c.add + c.jitter*c.rng.Float64()
	if c.rng.IntN(200) == 0 {
		d += 0.040 * c.rng.Float64()
	}
	if math.Mod(float64(c.n)/rate, 300) > 290 {
		d += 0.002
	}
	return c.n, time.Duration(1e9 * (c.due(float64(c.n)) + d))
}

func newClock(ppm, jitter float64) *clock {
	return &clock{rng: rand.New(rand.NewPCG(7, 9)), ppm: ppm, jitter: jitter, frames: 512}
}

// off is the error of the mapping at the clock's present, in seconds, but for
// the delay every block has.
func off(b *Timebase, c *clock) float64 {
	now := c.due(float64(c.n))
	return b.Session(time.Duration(1e9*(now+0.003))) - float64(c.n)/rate
}

// An hour of each crystal: after the first seconds session time is known within
// a fraction of the jitter, and the rate within a part in a million.
func TestFollowsEveryCrystal(t *testing.T) {
	for _, ppm := range []float64{-300, -100, 0, 20, 100, 300} {
		b, c := New(rate), newClock(ppm, 0.004)
		worst := 0.0
		for c.n < 3600*rate {
			b.Add(c.next())
			if c.n > 20*rate {
				worst = max(worst, math.Abs(off(b, c)))
			}
		}
		q := b.Quality()
		t.Logf("%+4.0f ppm: told %+.2f ± %.2f, worst %.0f µs, said ± %.0f µs", ppm, q.PPM, q.PPMSD, 1e6*worst, 1e6*q.SD)
		if worst > 150e-6 {
			t.Errorf("%v ppm: off by %.0f µs, want at most 150", ppm, 1e6*worst)
		}
		if math.Abs(q.PPM-ppm) > 1 || math.Abs(q.PPM-ppm) > 4*q.PPMSD {
			t.Errorf("%v ppm: told %.2f ± %.2f", ppm, q.PPM, q.PPMSD)
		}
	}
}

// The mapping never goes back nor jumps, also where the delay of a stream
// changes by 15 ms unannounced, and is right again at 1 ms a second.
func TestSlewsWhatWasNotDeclared(t *testing.T) {
	b, c := New(rate), newClock(40, 0.002)
	last := 0.0
	for c.n < 240*rate {
		if c.n > 120*rate {
			c.add = 0.015
		}
		b.Add(c.next())
		now := time.Duration(1e9 * (c.due(float64(c.n)) + 0.003))
		s := b.Session(now)
		block := float64(c.frames) / rate
		if got := s - last; last > 0 && c.n > 5*rate && math.Abs(got-block) > 0.0011*block {
			t.Fatalf("at %.1f s a block of %.4f ms took %.4f ms", float64(c.n)/rate, 1e3*block, 1e3*got)
		}
		last = s
	}
	if err := off(b, c) + 0.015; math.Abs(err) > 200e-6 {
		t.Errorf("two minutes after, the mapping is off by %.0f µs", 1e6*err)
	}
}

// Where a device's times wander, the rate is said to be known less well, by about as
// much as it is.
func TestWanderingTimes(t *testing.T) {
	for name, over := range map[string]float64{"over a second": 1, "over 5 seconds": 5} {
		const seeds, length, every = 200, 90, 0.1 // s
		keeps := math.Exp(-every / over)
		beyond, sum := 0, 0.0
		for seed := range uint64(seeds) {
			rng := rand.New(rand.NewPCG(seed, 3))
			l, wander := NewLine(rate), 0.0
			for i := range int(length / every) {
				wander = keeps*wander + math.Sqrt(1-keeps*keeps)*0.0005*rng.NormFloat64()
				at := float64(i) * every
				l.Add(int64(at*rate), time.Duration(1e9*(at/(1+50e-6)+0.010+wander+0.0001*rng.Float64())))
			}
			ppm, sd := l.PPM()
			sum += sd / seeds
			if math.Abs(ppm-50) > 2*sd {
				beyond++
			}
		}
		t.Logf("%s: in %d of %d the rate was more than two standard errors off, which were %.1f ppm on average", name, beyond, seeds, sum)
		if beyond > seeds/8 {
			t.Errorf("%s: in %d of %d the rate was more than two standard errors off", name, beyond, seeds)
		}
	}
}

// A gap may stand for another time; the rate stays known.
func TestGapStepsAtOnce(t *testing.T) {
	b, c := New(rate), newClock(-200, 0.002)
	for c.n < 100*rate {
		b.Add(c.next())
	}
	c.add = 0.5
	b.Gap()
	b.Add(c.next())
	if q := b.Quality(); math.Abs(q.PPM+200) > 1 {
		t.Errorf("after the gap %.2f ppm", q.PPM)
	}
	for end := c.n + 2*rate; c.n < end; {
		b.Add(c.next())
	}
	if err := off(b, c) + 0.5; math.Abs(err) > 200e-6 {
		t.Errorf("2 s after the gap the mapping is off by %.0f µs", 1e6*err)
	}
	b.Restart()
	if q := b.Quality(); q.PPMSD < 1 && b.Known() {
		b.Add(c.next())
		if q = b.Quality(); q.PPMSD < 10 {
			t.Errorf("after a restart the rate is known within %.1f ppm", q.PPMSD)
		}
	}
}

// Time and Session are each other's inverse, before, at and after what has come,
// and while slewing.
func TestInverse(t *testing.T) {
	b, c := New(rate), newClock(300, 0.002)
	for c.n < 60*rate {
		b.Add(c.next())
	}
	c.add = -0.010
	for c.n < 66*rate {
		b.Add(c.next())
	}
	if b.off == 0 {
		t.Fatal("nothing is being slewed")
	}
	for s := 0.0; s < 200; s += 0.37 {
		if got := b.Session(b.Time(s)); math.Abs(got-s) > 5e-9 {
			t.Fatalf("%v became %v", s, got)
		}
	}
}

func TestAddAllocatesNothing(t *testing.T) {
	b, c := New(rate), newClock(300, 0.002)
	c.frames = 8192
	if n := testing.AllocsPerRun(2000, func() { b.Add(c.next()) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkAdd(b *testing.B) {
	tb, c := New(rate), newClock(300, 0.002)
	b.ReportAllocs()
	for b.Loop() {
		tb.Add(c.next())
	}
}
