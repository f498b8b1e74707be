package profiles

import (
	"math"
	"testing"
)

func TestCurveLength(t *testing.T) {
	c := Curve{{180, 1.00}, {190, 1.06}, {210, 1.10}}
	for cadence, want := range map[float64]float64{
		100: 1.00, 180: 1.00, 185: 1.03, 190: 1.06, 195: 1.07, 210: 1.10, 300: 1.10,
	} {
		if got := c.Length(cadence); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %v: %v m, want %v", cadence, got, want)
		}
	}
	if got := Constant(1.2).Length(150); got != 1.2 {
		t.Errorf("constant: %v", got)
	}
	if got := (Curve)(nil).Length(190); got != 0 {
		t.Errorf("unknown: %v", got)
	}
}

// TestCurveCadence walks back from the pace of every cadence to the cadence.
func TestCurveCadence(t *testing.T) {
	for _, c := range []Curve{Constant(1.05), {{180, 1.00}, {190, 1.06}, {210, 1.04}}} {
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		for cadence := 90.0; cadence <= 240; cadence += 0.7 {
			pace := 60000 / (cadence * c.Length(cadence))
			if got := c.Cadence(pace); math.Abs(got-cadence) > 1e-9 {
				t.Errorf("%v: pace %v gives %v, want %v", c, pace, got, cadence)
			}
		}
	}
	if got := (Curve{{180, 1}, {190, 1.1}}).Cadence(1e-3); got != 0 {
		t.Errorf("a pace nobody walks gives %v", got)
	}
	for _, pace := range []float64{0, -1, math.NaN()} {
		if got := Constant(1).Cadence(pace); got != 0 {
			t.Errorf("pace %v gives %v", pace, got)
		}
	}
	if got := (Curve)(nil).Cadence(300); got != 0 {
		t.Errorf("unknown step length gives %v", got)
	}
}

func TestParsePace(t *testing.T) {
	for in, want := range map[string]float64{
		"5:10": 310, "5:10.5": 310.5, "310": 310, "310.25": 310.25, "05:10": 310, "2:00": 120, "20:00": 1200,
	} {
		if got, err := ParsePace(in); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", in, got, err, want)
		}
	}
	for _, in := range []string{
		"", ":", "5", "5:", ":10", "5:1", "5:60", "5:100", "5:10:00", "-5:10", "+5:10", "5:+1", "5:1e", " 5:10", "5:10.",
		"nan", "inf", "3e2", "0x136", "3_10", "310,5", "1:59", "20:01", "99999999999999999999:00", "5:10\n",
	} {
		if got, err := ParsePace(in); err == nil {
			t.Errorf("%q: %v, want an error", in, got)
		}
	}
}

func FuzzParsePace(f *testing.F) {
	f.Add("5:10.25")
	f.Add("310")
	f.Add("4:59.9999999999999999")
	f.Fuzz(func(t *testing.T, s string) {
		pace, err := ParsePace(s)
		if err != nil {
			return
		}
		if again, err := ParsePace(writePace(pace)); err != nil || again != pace {
			t.Fatalf("%q is %v, written %q, read %v, %v", s, pace, writePace(pace), again, err)
		}
	})
}

func TestBandStepsPerMin(t *testing.T) {
	if slow, quick := (Band{Slow: 3, Quick: 4}).StepsPerMin(192); slow != 3 || quick != 4 {
		t.Errorf("steps/min: %v, %v", slow, quick)
	}
	if slow, quick := (Band{Slow: 2.5, Quick: 1, Percent: true}).StepsPerMin(200); slow != 5 || quick != 2 {
		t.Errorf("%%: %v, %v", slow, quick)
	}
}
