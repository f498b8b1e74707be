package units

import (
	"math"
	"testing"
)

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

func TestParse(t *testing.T) {
	length := func(s System) func(string) (float64, error) { return s.ParseLength }
	pace := func(s System) func(string) (float64, error) { return s.ParsePace }
	for _, c := range []struct {
		text  string
		parse func(string) (float64, error)
		want  float64
	}{
		{"20km", ParseDistance, 20000}, {"20 km", ParseDistance, 20000}, {"400", ParseDistance, 400},
		{"half marathon", ParseDistance, 21097.5}, {"Marathon", ParseDistance, 42195}, {"13.1mi", ParseDistance, 13.1 * 1609.344},
		{"1.05", length(Metric), 1.05}, {"105cm", length(Metric), 1.05}, {"1 m 5cm", length(Metric), 1.05},
		{"41", length(Imperial), 41 * 0.0254}, {"3ft 5in", length(Metric), 41 * 0.0254}, {`3'5"`, length(Metric), 41 * 0.0254},
		{"4:00", pace(Metric), 240}, {"4:00/km", pace(Imperial), 240},
		// 20 km in 1:20:00 is 6:26.24 a mile (computed from 1609.344 m).
		{"6:26.24/mi", pace(Metric), 240}, {"6:26.24", pace(Imperial), 240},
		{"1:20:00", ParseTime, 4800}, {"39:50.5", ParseTime, 2390.5}, {"96", ParseTime, 96}, {"80:00", ParseTime, 4800},
	} {
		got, err := c.parse(c.text)
		if err != nil || !near(got, c.want, 1e-2) {
			t.Errorf("%q is %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, s := range []string{"", "-1", "1e3", "NaN", "1.", ".5", "4:60", "4:5", "1:2:3:4", "20 kg", "1m2", "0x10", "inf", "20km 3", "4::00"} {
		if d, err := ParseDistance(s); err == nil {
			t.Errorf("distance %q is %v", s, d)
		}
		if p, err := Metric.ParsePace(s); err == nil {
			t.Errorf("pace %q is %v", s, p)
		}
		if l, err := Metric.ParseLength(s); err == nil {
			t.Errorf("length %q is %v", s, l)
		}
	}
	for _, s := range []string{"", "4:60", "1:60:00", "-5", "1:2", "x"} {
		if v, err := ParseTime(s); err == nil {
			t.Errorf("time %q is %v", s, v)
		}
	}
}

func TestFormat(t *testing.T) {
	for got, want := range map[string]string{
		Metric.Length(1.05):         "1.050 m",
		Imperial.Length(41 * Inch):  "3 ft 5.0 in",
		Imperial.Length(0.9144):     "3 ft 0.0 in",
		Imperial.Length(0.91439999): "3 ft 0.0 in", // rounded before it is split
		Metric.Change(-0.021):       "-2.1 cm",
		Imperial.Change(0.0254):     "+1.00 in",
		Metric.Distance(21097.5):    "21.0975 km",
		Metric.Distance(400):        "400 m",
		Imperial.Distance(21097.5):  "13.11 mi",
		Metric.Pace(240):            "4:00 /km",
		Imperial.Pace(240):          "6:26 /mi",
		Metric.Pace(0):              "-",
		Time(4800, 0):               "1:20:00",
		Time(59.96, 1):              "1:00.0",
		Time(3599.6, 0):             "1:00:00",
		Time(-3.25, 2):              "-0:03.25",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// FuzzParse: no text may panic, and what is taken is in the range that is told.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"20km", "3'5\"", "4:00/mi", "1:20:00", "half", "1 m 5 cm", "9999999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if d, err := ParseDistance(s); err == nil && !(d >= 10 && d <= 200e3) {
			t.Errorf("distance %q is %v", s, d)
		}
		for _, sys := range []System{Metric, Imperial} {
			if l, err := sys.ParseLength(s); err == nil && !(l >= 0.3 && l <= 2) {
				t.Errorf("length %q is %v", s, l)
			}
			if p, err := sys.ParsePace(s); err == nil && !(p >= 120 && p <= 1200) {
				t.Errorf("pace %q is %v", s, p)
			}
		}
		if v, err := ParseTime(s); err == nil && !(v >= 1 && v <= 48*3600) {
			t.Errorf("time %q is %v", s, v)
		}
	})
}
