package compare

import (
	"strings"
	"testing"

	"steadfoot/coach/units"
)

func result(length, cadence Change) Result {
	return Result{FromN: 6, ToN: 6, LogLength: length, LogCadence: cadence,
		LogSpeed:   Change{length.Value + cadence.Value, length.Low + cadence.Low, length.High + cadence.High},
		baseLength: 1, baseCadence: 200, baseSpeed: 200.0 / 60}
}

func TestVerdict(t *testing.T) {
	for _, c := range []struct {
		r       Result
		verdict string
		reading string
	}{
		{result(Change{0.02, 0.01, 0.03}, Change{-0.002, -0.006, 0.002}),
			"length +2.0 cm (95 % 1.0 to 3.0), cadence -0.4 /min (-1.2 to 0.4): faster by 1.8 % (0.4 to 3.3)", "that it cost cadence is not shown"},
		{result(Change{0.02, 0.01, 0.03}, Change{-0.02, -0.03, -0.01}),
			"length +2.0 cm (95 % 1.0 to 3.0), cadence -4.0 /min (-5.9 to -2.0): no change of speed is shown (+0.0 %, 95 % -2.0 to 2.0)", "bought with cadence"},
		{result(Change{0, -0.01, 0.01}, Change{-0.0001, -0.01, 0.01}),
			"length +0.0 cm (95 % -1.0 to 1.0), cadence +0.0 /min (-2.0 to 2.0): no change of speed is shown (+0.0 %, 95 % -2.0 to 2.0)", "Neither"},
		{result(Change{-0.05, -0.06, -0.04}, Change{0, -0.001, 0.001}),
			"length -4.9 cm (95 % -5.8 to -3.9), cadence +0.0 /min (-0.2 to 0.2): slower by 4.9 % (3.8 to 5.9)", "shorter"},
	} {
		if got := c.r.Verdict(units.Metric); got != c.verdict {
			t.Errorf("got  %s\nwant %s", got, c.verdict)
		}
		if got := strings.Join(c.r.Reading(), " "); !strings.Contains(got, c.reading) {
			t.Errorf("got %s, want %s in it", got, c.reading)
		}
	}
	if s := result(Change{0.02, 0.01, 0.03}, Change{0, 0, 0}).SecondsWords(20000, units.Metric); s != "over 20 km, were it held: 118.8 s faster (95 % 59.7 to 177.3), from 1:40:00" {
		t.Error(s)
	}
}

// TestOrder: what changes evenly from rep to rep falls on both conditions alike.
func TestOrder(t *testing.T) {
	for n := 2; n <= 40; n += 2 {
		order, err := Order(n)
		if err != nil || len(order) != 2*n {
			t.Fatalf("%d: %v, %v", n, order, err)
		}
		drift := [2]int{}
		for i, b := range order {
			if b {
				drift[1] += i
			} else {
				drift[0] += i
			}
		}
		if drift[0] != drift[1] {
			t.Errorf("%d: drift %v", n, drift)
		}
	}
	for _, n := range []int{0, 3, -2, 42} {
		if _, err := Order(n); err == nil {
			t.Errorf("%d is taken", n)
		}
	}
}
