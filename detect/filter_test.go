package detect

import (
	"math"
	"testing"
)

func TestKernelsSumToOne(t *testing.T) {
	f := newFilter(soundTuning(200))
	for s, k := range f.kernel {
		var sum, mean float64
		for i, h := range k {
			sum += h
			mean += h * float64(f.lag[s]+i)
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("state %d: chances of its intervals sum up to %g", s, sum)
		}
		if want := f.interval(s); math.Abs(mean-want) > 0.5 {
			t.Fatalf("state %d: mean interval %g frames, want %g", s, mean, want)
		}
		if f.lag[s] <= f.after {
			t.Fatalf("state %d: an interval of %d frames ends before its step is settled", s, f.lag[s])
		}
	}
}

func TestPeriodsCoverTheRange(t *testing.T) {
	f := newFilter(soundTuning(200))
	fast, slow := 60*f.rate/f.periods[0], 60*f.rate/f.periods[len(f.periods)-1]
	if fast < Fastest || slow > Slowest {
		t.Errorf("periods from %.0f to %.0f steps/min, want %g to %g", slow, fast, Slowest, Fastest)
	}
}

// tap runs the filter over clear steps at the given frames.
func tap(f *filter, until int, steps ...int) {
	for f.t < until {
		ratio, heard := 0.15, false
		for _, s := range steps {
			if f.t == s {
				ratio, heard = 30, true
			}
		}
		f.advance(ratio, heard)
	}
}

// taps are n frames, apart by turns a and b.
func taps(n, a, b int) []int {
	s := []int{50}
	for i := 1; i < n; i++ {
		d := a
		if i%2 == 0 {
			d = b
		}
		s = append(s, s[i-1]+d)
	}
	return s
}

func TestBelievesInARhythm(t *testing.T) {
	f := newFilter(soundTuning(200))
	steps := taps(12, 64, 64)
	tap(f, steps[11]+1, steps...)
	if b := f.belief(); b < lockBelief { // enough for the tracker to call it a walk
		t.Errorf("belief %.3f after 12 even steps", b)
	}
	tap(f, steps[11]+400, steps...)
	if b := f.belief(); b > 0.1 {
		t.Errorf("belief %.3f two seconds after the last step", b)
	}
}

// The masses that are kept as running sums stay those of their parts.
func TestMassIsKept(t *testing.T) {
	f := newFilter(soundTuning(200))
	steps := taps(40, 60, 66)
	tap(f, 1500, steps...)
	before := f.walking
	f.recount()
	if d := math.Abs(f.walking - before); d > 1e-3*(before+f.idle) {
		t.Errorf("walking mass %g by its parts, %g by the running sum, idle %g", f.walking, before, f.idle)
	}
	if f.walking < 0 || f.idle < 0 || math.IsNaN(f.walking+f.idle) {
		t.Errorf("walking %g, idle %g", f.walking, f.idle)
	}
}

// A limp is two intervals by turns, and the trace finds each step and the sign.
func TestTrace(t *testing.T) {
	for _, c := range [][2]int{{64, 64}, {70, 58}, {58, 70}} {
		f := newFilter(soundTuning(200))
		steps := taps(14, c[0], c[1])
		last := steps[13]
		tap(f, last+1, steps...)
		chain := f.trace(nil, last, 0)
		if len(chain) != len(steps) {
			t.Fatalf("intervals %v: %d steps traced, want %d: %v", c, len(chain), len(steps), chain)
		}
		for i, l := range chain {
			if want := steps[13-i]; l.frame != want {
				t.Errorf("intervals %v: step %d back at frame %d, want %d", c, i, l.frame, want)
			}
		}
		next := f.interval(chain[0].state)
		if want := float64(c[1]); math.Abs(next-want) > 2.5 {
			t.Errorf("intervals %v: the next one is expected after %.1f frames, want %g", c, next, want)
		}
	}
}

// A limit ends the trace.
func TestTraceStopsAtLimit(t *testing.T) {
	f := newFilter(soundTuning(200))
	steps := taps(14, 64, 64)
	tap(f, steps[13]+1, steps...)
	if chain := f.trace(nil, steps[13], steps[8]); len(chain) != 6 {
		t.Errorf("%d steps down to the limit, want 6", len(chain))
	}
}
