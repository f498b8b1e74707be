package follow

import (
	"math"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

func beat() *coach.BeatMap {
	m := &coach.BeatMap{Every: 4}
	m.Add(event.Beat{Start: 1, Period: 0.3})
	m.Add(event.Beat{Start: 100, N: 330})
	return m
}

// TestMeter: eight steps before a beat every 300 ms, by the same figures as in
// circular's TestAsynchronies (computed): mean -20 ms, R 0.992948.
func TestMeter(t *testing.T) {
	m := New(beat())
	for i, ms := range []float64{-20, -25, -15, -18, -22, -30, -10, -20} {
		m.Step(detect.Step{T: 1 + 0.3*float64(i+50) + ms/1000, Heard: true})
	}
	m.Step(detect.Step{T: 18.1}) // bridged
	off, r, n := m.At(19)
	if math.Abs(off+20) > 0.1 || math.Abs(r-0.992948) > 1e-5 || n != 8 {
		t.Errorf("%v ms, R %v of %d", off, r, n)
	}
	if off, r, n := m.At(40); off != 0 || r != 0 || n != 0 {
		t.Errorf("long after: %v ms, R %v of %d", off, r, n)
	}
}

// TestNoBeat: in silence, and before the beat, there is nothing to be off.
func TestNoBeat(t *testing.T) {
	m := New(beat())
	for _, at := range []float64{0.5, 101, 102} {
		m.Step(detect.Step{T: at, Heard: true})
	}
	if _, _, n := m.At(103); n != 0 {
		t.Errorf("%d steps", n)
	}
}

// TestManySteps: only the last ten seconds count, however many came before, and a
// half beat off is as far as can be.
func TestManySteps(t *testing.T) {
	m := New(beat())
	for k := range 200 {
		late := 0.1
		if k > 160 {
			late = 0.01
		}
		m.Step(detect.Step{T: 1 + 0.3*float64(k) + late, Heard: true})
	}
	off, r, n := m.At(1 + 0.3*199 + 0.02)
	if math.Abs(off-10) > 1e-6 || r < 0.999999 || n != 34 {
		t.Errorf("%v ms, R %v of %d", off, r, n)
	}
	if a := testing.AllocsPerRun(100, func() { m.Step(detect.Step{T: 70, Heard: true}); m.At(70) }); a != 0 {
		t.Errorf("%v allocations", a)
	}
}
