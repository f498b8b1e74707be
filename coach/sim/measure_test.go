package sim

import (
	"math"
	"testing"

	"steadfoot/coach/event"
)

// stepped is a session of steps at a given cadence over time, with a band of 176 to
// 184 steps/min.
func stepped(duration float64, cadence func(t float64) float64) *Result {
	r := &Result{Walker: Walker{Target: 180}, Low: 176, High: 184, Duration: duration}
	for t := 0.5; t < duration; t += 60 / cadence(t) {
		r.Steps = append(r.Steps, Step{T: t})
	}
	return r
}

// jumps is a cadence that jumps at times.
func jumps(first float64, more ...[2]float64) func(t float64) float64 {
	return func(t float64) float64 {
		c := first
		for _, m := range more {
			if t >= m[0] {
				c = m[1]
			}
		}
		return c
	}
}

func TestBand(t *testing.T) {
	// Below for 60 s, in for 40, above for 20, in to the end. The cadence is
	// over 4 s, so it crosses the ends of the band about 2 s after each jump.
	b := stepped(300, jumps(172, [2]float64{60, 180}, [2]float64{100, 187}, [2]float64{120, 180})).Band()
	if want := (300.0 - 10 - 50 - 20) / 290; math.Abs(b.Inside-want) > 0.015 {
		t.Errorf("in the band for %.3f of the time, want %.3f", b.Inside, want)
	}
	if want := (-8*(50.0+2) + 7*20) / 290; math.Abs(b.Off-want) > 0.05 {
		t.Errorf("%.3f steps/min off in the mean, want %.3f", b.Off, want)
	}
	if math.Abs(b.Reached-62) > 1 {
		t.Errorf("reached at %.1f s, want 62", b.Reached)
	}
	if len(b.Out) != 1 || math.Abs(b.Out[0]-20) > 1 {
		t.Errorf("excursions %v s, want one of 20", b.Out)
	}
	if math.Abs(b.Overshoot-3) > 0.2 {
		t.Errorf("overshoot %.2f steps/min, want 3: beyond the quick end 40 s after coming in", b.Overshoot)
	}
	if b := stepped(300, jumps(172, [2]float64{60, 180}, [2]float64{200, 187})).Band(); b.Overshoot != 0 {
		t.Errorf("overshoot %.2f steps/min two minutes after coming in, want none", b.Overshoot)
	}
	if b := stepped(300, jumps(172)).Band(); !math.IsInf(b.Reached, 1) || b.Inside != 0 || len(b.Out) != 0 {
		t.Errorf("never in the band: %+v", b)
	}
}

func TestWords(t *testing.T) {
	r := &Result{Duration: 300}
	for _, at := range []float64{5, 100, 120, 140, 159, 161, 250} {
		r.Cues = append(r.Cues, event.Cue{T: at})
	}
	if w := r.Words(); w.Most != 4 || math.Abs(w.PerMinute-1.4) > 1e-12 {
		t.Errorf("%+v, want 1.4 a minute and 4 in the fullest", w)
	}
}

// Eight asynchronies at 300 ms with mean -20 ms and R 0.992948, worked out for
// this project from R = √(C²+S²)/n.
func TestBeat(t *testing.T) {
	r := &Result{}
	for i, a := range []float64{-20, -25, -15, -18, -22, -30, -10, -20} {
		at := float64(i)
		r.Steps = append(r.Steps, Step{T: at + a/1000, Beat: at, Period: 0.3, With: i%2 == 0}, Step{T: at + 0.3})
	}
	b := r.Beat()
	if b.Steps != 8 || b.With != 0.5 || b.Heard != 0.5 {
		t.Errorf("%+v, want eight of sixteen steps, half of them following", b)
	}
	if math.Abs(b.Mean+0.020) > 1e-9 || math.Abs(b.R-0.992948) > 1e-6 {
		t.Errorf("mean %.6f s, R %.6f, want -0.020 and 0.992948", b.Mean, b.R)
	}
}

// A sine is found with its amplitude, less what the mean over ten steps leaves of
// it: as many as are taken of the twelve in 4 s.
func TestSwing(t *testing.T) {
	for _, period := range []float64{10, 20, 40} {
		s := stepped(600, func(t float64) float64 { return 180 + 3*math.Sin(2*math.Pi*t/period) }).Swing()
		x := math.Pi * 10 / 3 / period
		if want := 3 * math.Sin(x) / x; math.Abs(s.Amplitude/want-1) > 0.03 || math.Abs(s.Period/period-1) > 0.05 {
			t.Errorf("a swing of %g s: %.2f steps/min every %.1f s, want %.2f", period, s.Amplitude, s.Period, want)
		}
	}
	if s := stepped(600, func(t float64) float64 { return 170 + t/30 }).Swing(); s.Amplitude > 0.1 {
		t.Errorf("a cadence that rises has a swing of %.2f steps/min", s.Amplitude)
	}
}

// Being driven is there and back twice, or a swing as wide as the band; not one
// answer that is too large.
func TestDriven(t *testing.T) {
	alone := stepped(600, jumps(180))
	for _, c := range []struct {
		name    string
		cadence func(t float64) float64
		want    bool
	}{
		{"steady", jumps(180), false},
		{"one word too much", jumps(180, [2]float64{200, 174}, [2]float64{220, 188}, [2]float64{250, 180}), false},
		{"one word much too late and too much", jumps(180, [2]float64{200, 168}, [2]float64{230, 198}, [2]float64{245, 180}), false},
		{"there and back twice", jumps(180, [2]float64{200, 174}, [2]float64{220, 187}, [2]float64{250, 173}, [2]float64{270, 186}, [2]float64{290, 180}), true},
		{"with minutes between", jumps(180, [2]float64{100, 174}, [2]float64{120, 180}, [2]float64{200, 187}, [2]float64{220, 180}, [2]float64{300, 173}, [2]float64{320, 180}, [2]float64{400, 187}, [2]float64{420, 180}), false},
		{"a quick swing from end to end", func(t float64) float64 { return 180 + 6*math.Sin(2*math.Pi*t/8) }, true},
		{"half of that", func(t float64) float64 { return 180 + 3*math.Sin(2*math.Pi*t/8) }, false},
	} {
		if r := stepped(600, c.cadence); Driven(r, alone) != c.want {
			t.Errorf("%s: driven %v, swing %+v", c.name, !c.want, r.Swing())
		}
	}
}
