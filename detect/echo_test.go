package detect

import (
	"math"
	"testing"
)

// A step of 300 ms and a stride of 600 ms, the stride 0.3 as strong: by the
// formula of Moe-Nilssen and Helbostad 2004 (J Biomech 37:121) the step
// regularity is (1-0.09)/(1+0.09), the stride regularity 1.
func TestRegularity(t *testing.T) {
	e := newEcho()
	for i := range int(10 * motionRate) {
		at := float64(i) / motionRate
		e.next(math.Cos(2*math.Pi*at/0.3) + 0.3*math.Cos(2*math.Pi*at/0.6))
	}
	if got := e.regularity(0.3 * motionRate); math.Abs(got-0.8349) > 0.01 {
		t.Errorf("step regularity %.4f, want 0.8349 ± 0.01", got)
	}
	if got := e.regularity(0.6 * motionRate); math.Abs(got-1) > 0.005 {
		t.Errorf("stride regularity %.4f, want 1 ± 0.005", got)
	}
}

func TestStrongestRate(t *testing.T) {
	for _, hz := range []float64{1.2, 1.63, 2.05, 2.9, 3.8} {
		p := newPulse()
		for i := range int(8 * motionRate) {
			at := 2 * math.Pi * hz * float64(i) / motionRate
			// The stride and the double rate are there too, as in a pocket.
			p.next(0.3*math.Cos(at) + 0.1*math.Cos(at/2+1) + 0.15*math.Cos(2*at+2))
		}
		if got, share := p.strongest(); math.Abs(got-hz) > 0.02*hz || share < 0.4 {
			t.Errorf("%.3f Hz with a share of %.2f, want %g Hz", got, share, hz)
		}
	}
}

// Whatever the times of the rows, frames are the means of the lines between.
func TestResampler(t *testing.T) {
	var r resampler
	r.begin(3, 10)
	n := 0
	for _, at := range []float64{3.001, 3.013, 3.05, 3.0501, 3.4, 3.41} {
		line := func(t float64) float64 { return 10 + 50*(t-3) }
		for v, ok := r.to(at, line(at)); ok; v, ok = r.to(at, line(at)) {
			n++
			if want := line(3 + (float64(n)-0.5)/motionRate); math.Abs(v-want) > 1e-9 {
				t.Errorf("frame %d is %g, want %g", n, v, want)
			}
		}
		r.arrive(at, line(at))
	}
	if n != 20 {
		t.Errorf("%d frames in 0.41 s, want 20", n)
	}
}

// A gear's steps are placed and sized the same whatever the gear.
func TestGearsAgree(t *testing.T) {
	for i, hz := range []float64{106.0 / 60, 160.0 / 60} {
		slow, fast := newGear(gearRanges[i][0], gearRanges[i][1]), newGear(gearRanges[i+1][0], gearRanges[i+1][1])
		s := newSway()
		var a, b []candidate
		for n := range int(20 * motionRate) {
			s.next(1+0.3*math.Sin(2*math.Pi*hz*float64(n)/motionRate), false)
			slow.next(s)
			fast.next(s)
			a, b = append(a, slow.take()...), append(b, fast.take()...)
		}
		x, y := a[len(a)-1], b[len(b)-1]
		for _, c := range []candidate{x, y} {
			// A sine is highest a quarter of a period after its start.
			phase := math.Mod(c.t*hz-0.25+0.5, 1) - 0.5
			if math.Abs(phase/hz) > 0.015 {
				t.Errorf("%.2f Hz: bump %.0f ms off", hz, 1000*phase/hz)
			}
			// It is read at the nearest frame and for the nearest tempo.
			if math.Abs(c.height-0.3) > 0.04 {
				t.Errorf("%.2f Hz: height %.3f, want 0.30 ± 0.04", hz, c.height)
			}
		}
	}
}
