package detect

import (
	"math"
	"testing"
)

// tell reports steps at the given times and returns the reporter.
func tell(times []float64, bridged ...int) *reporter {
	r := newReporter(Left)
	for i, t := range times {
		p := placed{confidence: 1, heard: true, begins: i == 0}
		for _, b := range bridged {
			p.heard = p.heard && i != b
		}
		r.step(nil, t, p, 0.3)
	}
	return &r
}

// walkOf takes step times by turns, to the right foot first.
func walkOf(n int, right, left float64) []float64 {
	t := []float64{1}
	for i := range n {
		d := right
		if i%2 == 1 {
			d = left
		}
		t = append(t, t[i]+d)
	}
	return t
}

// SI = (R-L)/(0.5(R+L)) in % (Robinson, Herzog, Nigg 1987); the worked values
// are computed from the formula.
func TestUnevenness(t *testing.T) {
	for _, c := range []struct{ right, left, want float64 }{
		{0.305, 0.295, 3.3333}, {0.310, 0.290, 6.6667}, {0.290, 0.310, -6.6667}, {0.3, 0.3, 0},
	} {
		y := tell(walkOf(40, c.right, c.left)).rhythm(13.5, Walking)
		if math.Abs(y.Unevenness-c.want) > 1e-4 {
			t.Errorf("right %g s, left %g s: unevenness %.4f %%, want %.4f", c.right, c.left, y.Unevenness, c.want)
		}
	}
}

// Ten stride times whose mean is 0.600 s and whose coefficient of variation is
// 0.88192 %, with n-1 (worked from the formula). Here both feet make each of
// them, which gives 20 strides of the same spread: 0.88192·sqrt(18/19).
func TestVariability(t *testing.T) {
	strides := []float64{.600, .606, .594, .603, .597, .600, .609, .591, .600, .600}
	left := 1.0
	times := []float64{left, left + 0.3}
	for _, s := range strides {
		left += s
		times = append(times, left, left+0.3)
	}
	want := 0.88192 * math.Sqrt(18.0/19)
	if y := tell(times).rhythm(left+0.4, Walking); math.Abs(y.Variability-want) > 1e-4 {
		t.Errorf("variability %.5f %%, want %.5f", y.Variability, want)
	}
}

// A bridged step is where the rhythm put it: it must not make the walk look
// steadier or more even than it was heard to be.
func TestBridgedStepsDoNotCount(t *testing.T) {
	times := walkOf(40, 0.305, 0.295)
	times[30] += 0.1
	y := tell(times, 30).rhythm(13.5, Walking)
	if math.Abs(y.Unevenness-3.3333) > 1e-4 || y.Variability > 0.01 {
		t.Errorf("unevenness %.4f %%, variability %.4f %%, want 3.3333 and 0", y.Unevenness, y.Variability)
	}
	if y.Heard >= 1 || y.Heard < 0.9 {
		t.Errorf("heard %.3f, want a little less than 1", y.Heard)
	}
}

func TestCadence(t *testing.T) {
	times := walkOf(40, 0.31, 0.29)
	y := tell(times).rhythm(times[40]+0.1, Walking)
	if math.Abs(y.Cadence-200) > 1e-6 || y.CadenceSD <= 0 || y.CadenceSD > 0.3 {
		t.Errorf("cadence %.4f ± %.4f steps/min, want 200 and less than 0.3", y.Cadence, y.CadenceSD)
	}
	if y := tell(times).rhythm(14, NotWalking); y.Cadence != 0 || y.Unevenness != 0 {
		t.Errorf("a rhythm of one who does not walk: %+v", y)
	}
}

// Every half second of the input's clock, however far the clock jumps.
func TestTicks(t *testing.T) {
	r := newReporter(Left)
	var events []Event
	for now := 0.0; now < 3.3; now += 0.07 {
		events = r.tick(events, now, NotWalking)
	}
	events = r.tick(events, 5, NotWalking)
	if len(events) != 10 {
		t.Fatalf("%d rhythms in 5 s, want 10", len(events))
	}
	for i, e := range events {
		if want := 0.5 * float64(i+1); e.Kind != KindRhythm || e.Rhythm.T != want {
			t.Errorf("event %d is %+v, want a rhythm at %g s", i, e, want)
		}
	}
}

// The feet are counted over a short hole, and start anew after a long one,
// which is a gap.
func TestFeetOverHoles(t *testing.T) {
	for _, c := range []struct {
		hole float64
		want Side // of the first step behind it; the one before it is a left one
		gap  bool
	}{
		{0.3, Right, false}, {0.6, Left, false}, {0.9, Right, false}, {2, Left, true},
	} {
		r := newReporter(Left)
		for i := range 11 {
			r.step(nil, 1+0.3*float64(i), placed{heard: true, begins: i == 0}, 0.3)
		}
		r.lost = 0.9 * c.hole
		events := r.step(nil, 4+c.hole, placed{heard: true, begins: true}, 0.3)
		s := events[len(events)-1].Step
		if s.Side != c.want {
			t.Errorf("after %g s without a step: %v, want %v", c.hole, s.Side, c.want)
		}
		if gap := len(events) == 2; gap != c.gap {
			t.Errorf("after %g s without a step: %d events", c.hole, len(events))
		}
		if c.gap && (events[0].Gap.Reason != GapLost || math.Abs(events[0].Gap.Length-c.hole) > 1e-9) {
			t.Errorf("gap %+v, want %g s of lost input", events[0].Gap, c.hole)
		}
	}
}
