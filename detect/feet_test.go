package detect

import "testing"

func TestFeet(t *testing.T) {
	for _, c := range []struct {
		name   string
		z      [2]float64
		single bool
	}{
		{"even", [2]float64{3, 3}, false},
		{"one foot 12 dB quieter", [2]float64{3, 1}, false},
		{"one foot not heard", [2]float64{3, 0}, false},
		{"a rustle between the steps", [2]float64{0.3, 4}, true},
	} {
		var f feet
		for i := range 12 {
			f.next(c.z[i%2])
			if i < 6 {
				continue
			}
			if f.single() != c.single {
				t.Errorf("%s: every other step is one: %v, want %v", c.name, f.single(), c.single)
			}
			if want := c.single && c.z[i%2] < 1; f.none() != want {
				t.Errorf("%s: step of height %g is none: %v, want %v", c.name, c.z[i%2], f.none(), want)
			}
		}
	}
}
