package score

import "testing"

// limp is n steps of feet 1 and 2 in turn: 0.31 s from 1 to 2, 0.29 s back.
func limp(n int) (times []float64, sides []uint8) {
	t := 0.0
	for i := range n {
		times, sides = append(times, t), append(sides, uint8(1+i%2))
		t += []float64{0.31, 0.29}[i%2]
	}
	return times, sides
}

func other(sides []uint8) []uint8 {
	o := make([]uint8, len(sides))
	for i, s := range sides {
		o[i] = 3 - s
	}
	return o
}

// (0.31-0.29)/0.30 is 6.667 %.
func TestUnevenness(t *testing.T) {
	times, sides := limp(40)
	got, ok := Unevenness(times, sides, 1, 0, 100)
	if !ok {
		t.Fatal("no unevenness of a whole walk")
	}
	approx(t, "index", got, 100*0.02/0.30, 1e-9)
	got, _ = Unevenness(times, sides, 2, 0, 100)
	approx(t, "index from the other foot", got, -100*0.02/0.30, 1e-9)
	if _, ok := Unevenness(times[:2], sides, 1, 0, 100); ok {
		t.Error("an unevenness of one interval")
	}
}

func TestUnevennessError(t *testing.T) {
	times, sides := limp(220) // 66 s
	even := clicks(220)
	for _, c := range []struct {
		what  string
		found []float64
		sides []uint8
		want  float64
	}{
		{"itself", times, sides, 0},
		{"feet named the other way", times, other(sides), 0},
		{"heard as even", even, sides, 100 * 0.02 / 0.30},
		{"a step missed", append(append([]float64{}, times[:9]...), times[10:]...), append(append([]uint8{}, sides[:9]...), sides[10:]...), 0},
	} {
		got, ok := UnevennessError(c.found, times, c.sides, sides, 60, 0.050)
		if !ok {
			t.Errorf("%s: nothing to compare", c.what)
		}
		approx(t, c.what, got, c.want, 1e-6)
	}
	if _, ok := UnevennessError(times[:100], times[:100], sides, sides, 60, 0.050); ok {
		t.Error("60 s compared of a walk of 30 s")
	}
	if _, ok := UnevennessError(nil, times, nil, sides, 60, 0.050); ok {
		t.Error("nothing found, and compared")
	}
}

func TestBand(t *testing.T) {
	truth := clicks(101) // 200 steps/min
	r := []Reading{
		{T: 5, Cadence: 200.9, SD: 0.5, From: 1.2, To: 4.8},   // 0.98 off at most
		{T: 6, Cadence: 201, SD: 0.5, From: 2.4, To: 6},       // more
		{T: 7, Cadence: 200, SD: 1e-6, From: 3, To: 6.6},      // certain, and right
		{T: 8, SD: 1, From: 3, To: 6.6},                       // no cadence yet
		{T: 9, Cadence: 200, SD: 1},                           // window not known
		{T: 99, Cadence: 200, SD: 1, From: 95, To: 98.6},      // nobody walked
		{T: 5, Cadence: 199.1, SD: 0.5, From: 1.23, To: 4.77}, // found 30 ms off
	}
	if in, all := Band(r, truth, 0.050); in != 3 || all != 4 {
		t.Errorf("%d of %d bands hold, want 3 of 4", in, all)
	}
}
