package detect

import "testing"

// TestFeet has steps every 50 frames, after a slow walk of one every 100 where
// slow is true.
func TestFeet(t *testing.T) {
	for _, c := range []struct {
		name   string
		z      [4]float64 // heights, over and over
		slow   bool
		single bool
	}{
		{"even", [4]float64{3, 3, 3, 3}, false, false},
		{"one foot 12 dB quieter", [4]float64{3, 1, 3, 1}, false, false},
		{"and as it is on leather", [4]float64{8, 1.4, 8.4, 0.8}, false, false},
		{"one foot not heard", [4]float64{3, 0, 3, 0}, false, false},
		{"a rustle between the steps", [4]float64{4, 0.3, 4, 0.3}, false, true},
		{"now strong, now lost in noise", [4]float64{9, 1.8, 9, 0.15}, false, true},
		{"now strong, now not heard", [4]float64{9, 1.5, 9, 0}, false, true},
		{"rustles come in", [4]float64{9, 1.5, 9, 1.2}, true, true},
		{"twice as quick", [4]float64{6, 6, 6, 6}, true, false},
	} {
		var f feet
		frame := 1000
		for i := 0; c.slow && i < 9; i++ {
			f.next(frame, 100, c.z[0])
			frame += 100
		}
		if c.slow {
			f.follow(50)
		}
		for i := range 24 {
			f.next(frame, 50, c.z[i%4])
			frame += 50
			if n := 16; i < n && !c.slow || c.slow && (i < 1 || i > 3) {
				continue
			}
			if f.single() != c.single {
				t.Errorf("%s, %d: every other step is one: %v, want %v", c.name, i, f.single(), c.single)
			}
			if want := c.single && i%2 == 1; f.none() != want {
				t.Errorf("%s, %d: step of height %g is none: %v, want %v", c.name, i, c.z[i%4], f.none(), want)
			}
		}
	}
}

// A place that belongs to one foot stays so while the steps of the other are left out.
func TestFeetOfHalfTheTempo(t *testing.T) {
	var f feet
	frame := 1000
	for i := range 16 {
		f.next(frame, 50, []float64{9, 0.4}[i%2])
		frame += 50
	}
	for range 5 {
		f.next(frame, 100, 9)
		frame += 100
	}
	f.next(frame, 50, 9)
	if f.none() {
		t.Error("a step is none after some at half the tempo")
	}
	f.next(frame+50, 50, 1.5)
	if !f.none() {
		t.Error("a rustle is a step after some at half the tempo")
	}
}
