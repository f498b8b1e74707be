package cue

import (
	"math"
	"testing"

	"steadfoot/audio"
)

// IEC 61672's formula, in dB, at frequencies that cues and clicks are made of.
func TestAWeight(t *testing.T) {
	f := newAWeight()
	for freq, want := range map[float64]float64{250: -8.67, 500: -3.25, 1000: 0, 2000: 1.20, 2500: 1.27, 4000: 0.96} {
		if got := 20 * math.Log10(f.response(freq)); math.Abs(got-want) > 0.15 {
			t.Errorf("%g Hz: %+.2f dB, want %+.2f", freq, got, want)
		}
	}
}

// ITU-T H.870: 80 dB(A) may be heard for 40 h a week, and half as long with each
// 3 dB; that is 1.6 Pa²h (.506 for children, 75 dB(A)). Within 1 %.
func TestSafeHours(t *testing.T) {
	for level, want := range map[float64]float64{80: 40, 83: 20, 86: 10, 89: 5, 95: 1.25} {
		if got := SafeHours(level); math.Abs(got/want-1) > 0.01 {
			t.Errorf("%g dB(A): %.3f h, want %g", level, got, want)
		}
		if got := exposure(level, want); math.Abs(got/WeeklyDose-1) > 0.015 {
			t.Errorf("%g h at %g dB(A) are %.3f Pa²h, want %g", want, level, got, WeeklyDose)
		}
	}
	if got := exposure(75, 40); math.Abs(got/WeeklyDoseChild-1) > 0.01 {
		t.Errorf("75 dB(A) for 40 h is %.3f Pa²h, want %g", got, WeeklyDoseChild)
	}
}

// play adds seconds of a sine at a level in one ear, half as strong in the other.
func play(d *Dose, freq, level, seconds float64) {
	var buf [960]audio.Frame
	for n := 0; n < int(seconds*audio.Rate); n += len(buf) {
		for i := range buf {
			x := level * wave(freq, 0, n+i)
			buf[i] = audio.Frame{float32(x / 2), float32(x)}
		}
		d.Add(buf[:])
	}
}

func TestDose(t *testing.T) {
	for _, c := range []struct{ freq, amplitude, full, hours, want float64 }{
		{1000, 1, 80, 40, 1},
		{1000, 0.1, 103, 20, 1},   // 20 dB down: 83 dB(A)
		{1000, 0.1, 115, 1.25, 1}, // 95 dB(A)
		{500, 0.1, 103.25, 40, 1}, // the ear has it 3.25 dB softer
		{1000, 0.1, 100, 4, 0.1},
	} {
		d, err := NewDose(c.full)
		if err != nil {
			t.Fatal(err)
		}
		const seconds = 20 // and silence for 20: energy adds up, not the mean
		play(d, c.freq, c.amplitude, seconds)
		d.Add(make([]audio.Frame, seconds*audio.Rate))
		share, ok := d.Share()
		share *= c.hours * 3600 / seconds
		if !ok || math.Abs(share/c.want-1) > 0.02 {
			t.Errorf("%+v: %.4f of the week, %v", c, share, ok)
		}
		if d.Seconds() != 2*seconds {
			t.Errorf("%g s", d.Seconds())
		}
	}
}

func TestDoseWithoutALevel(t *testing.T) {
	d, err := NewDose(0)
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsInf(d.LevelDB(), -1) {
		t.Errorf("%g dB before any sound", d.LevelDB())
	}
	play(d, 1000, 0.1, 2)
	if got := d.LevelDB(); math.Abs(got+20) > 0.05 {
		t.Errorf("a tenth of full scale is %.2f dB, want -20", got)
	}
	if _, ok := d.Share(); ok {
		t.Error("a share was made up")
	}
	for _, level := range []float64{-5, 39, 161, math.NaN(), math.Inf(1)} {
		if _, err := NewDose(level); err == nil {
			t.Errorf("level %g was taken", level)
		}
	}
}

func TestDoseDoesNotAllocate(t *testing.T) {
	d, _ := NewDose(100)
	frames := make([]audio.Frame, 480)
	frames[0] = audio.Frame{0.5, 0.5}
	if n := testing.AllocsPerRun(100, func() { d.Add(frames) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkDose(b *testing.B) {
	d, _ := NewDose(100)
	frames := make([]audio.Frame, audio.Rate)
	for i := range frames {
		frames[i][0] = 0.1
	}
	b.ReportAllocs()
	for b.Loop() {
		d.Add(frames)
	}
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N), "%core")
}
