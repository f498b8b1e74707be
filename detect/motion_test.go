package detect_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"steadfoot/detect"
	"steadfoot/detect/made"
)

// feel runs the detector over rows and returns the events and the step times.
func feel(t testing.TB, rows []made.Row) (events []detect.Event, steps []float64) {
	t.Helper()
	d := newMotion(t)
	for _, r := range rows {
		var err error
		if events, err = d.Feed(events, r.T, r.X, r.Y, r.Z); err != nil {
			t.Fatal(err)
		}
	}
	events = d.Flush(events)
	return events, stepTimes(events)
}

func newMotion(t testing.TB) *detect.Motion {
	t.Helper()
	d, err := detect.NewMotion(detect.MotionConfig{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func stepTimes(events []detect.Event) (times []float64) {
	for _, e := range events {
		if e.Kind == detect.KindStep {
			times = append(times, e.Step.T)
		}
	}
	return times
}

// between counts the times from a to b.
func between(times []float64, a, b float64) (n int) {
	for _, t := range times {
		if t >= a && t < b {
			n++
		}
	}
	return n
}

func walkAt(cadence float64) made.MotionSpec {
	return made.MotionSpec{Seed: 5, Duration: 40, Gait: made.Gait{Cadence: made.Steady(cadence), JitterCV: 2, LongRange: 0.3, Unevenness: 2, Start: 3}}
}

// From a stroll to a sprint, at every place, at 25 rows a second with a tenth
// of them missing and at 100: totals within 3 %, so never half or double tempo.
func TestMotionAtEveryCadence(t *testing.T) {
	places := map[string]made.Place{"waist": made.Waist, "pocket": made.Pocket, "wrist": made.Wrist, "armband": made.Armband}
	for name, place := range places {
		for i, cadence := range []float64{72, 100, 135, 186, 238} {
			t.Run(fmt.Sprintf("%s at %g", name, cadence), func(t *testing.T) {
				t.Parallel()
				s := walkAt(cadence)
				s.Seed, s.Place = uint64(i), place
				if i%2 == 0 {
					s.Rate, s.Dropped, s.TimeJitter = 25, 0.1, 0.003
				}
				m := s.Motion()
				_, got := feel(t, m.Rows)
				if off := math.Abs(float64(len(got) - len(m.Steps))); off > 0.03*float64(len(m.Steps)) {
					t.Errorf("%d steps found of %d", len(got), len(m.Steps))
				}
			})
		}
	}
}

// The unit, the sensor's turn and whether it gives only the magnitude make no
// difference.
func TestMotionInAnyUnit(t *testing.T) {
	s := walkAt(110)
	s.Duration = 20
	rows := s.Motion().Rows
	_, want := feel(t, rows)
	if len(want) < 25 {
		t.Fatalf("only %d steps found", len(want))
	}
	changes := map[string]func(made.Row) made.Row{
		"g":         func(r made.Row) made.Row { return made.Row{T: r.T, X: r.X / 9.81, Y: r.Y / 9.81, Z: r.Z / 9.81} },
		"raw":       func(r made.Row) made.Row { return made.Row{T: r.T, X: 2048 * r.X, Y: 2048 * r.Y, Z: 2048 * r.Z} },
		"turned":    func(r made.Row) made.Row { return made.Row{T: r.T, X: -r.Z, Y: r.X, Z: -r.Y} },
		"magnitude": func(r made.Row) made.Row { return made.Row{T: r.T, X: math.Sqrt(r.X*r.X + r.Y*r.Y + r.Z*r.Z)} },
		"late":      func(r made.Row) made.Row { return made.Row{T: r.T + 1e6, X: r.X, Y: r.Y, Z: r.Z} },
	}
	for name, change := range changes {
		changed := make([]made.Row, len(rows))
		for i, r := range rows {
			changed[i] = change(r)
		}
		_, got := feel(t, changed)
		same := slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 0.002 })
		if !same {
			t.Errorf("%s: %d steps, not the same %d", name, len(got), len(want))
		}
	}
}

// Rows that are no rows are named, left out, and change nothing.
func TestMotionRefusesBadRows(t *testing.T) {
	s := walkAt(110)
	s.Duration = 20
	rows := s.Motion().Rows
	want, _ := feel(t, rows)
	d := newMotion(t)
	var got []detect.Event
	refused := func(say string, at, x float64) {
		t.Helper()
		var err error
		if got, err = d.Feed(got, at, x, 0, 9); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("row at %g s with x = %g: error %v, want one that says %q", at, x, err, say)
		}
	}
	refused("not a finite number", math.NaN(), 1)
	for i, r := range rows {
		var err error
		if got, err = d.Feed(got, r.T, r.X, r.Y, r.Z); err != nil {
			t.Fatal(err)
		}
		if i%100 == 50 {
			refused("not later", r.T, 1)
			refused("not later", r.T-0.3, 1)
			refused("not a finite number", r.T+0.001, math.NaN())
			refused("not a finite number", r.T+0.001, math.Inf(-1))
			refused("not a finite number", math.Inf(1), 1)
			refused("hours after", r.T+40000, 1)
		}
	}
	if got = d.Flush(got); !slices.Equal(got, want) {
		t.Error("refused rows left a trace in the events")
	}
}

// One who stops and goes on: no steps while standing, and both stretches whole.
func TestMotionStops(t *testing.T) {
	s := walkAt(112)
	s.Duration, s.Pauses = 60, [][2]float64{{20, 35}}
	m := s.Motion()
	events, got := feel(t, m.Rows)
	if n := between(got, 20.6, 34.5); n > 0 {
		t.Errorf("%d steps while standing", n)
	}
	var truth []float64
	for _, x := range m.Steps {
		truth = append(truth, x.T)
	}
	for _, part := range [][2]float64{{0, 20.6}, {34.5, 60}} {
		n, want := between(got, part[0], part[1]), between(truth, part[0], part[1])
		if n < want-2 || n > want+1 {
			t.Errorf("%d steps found of %d from %g to %g s", n, want, part[0], part[1])
		}
	}
	for _, e := range events {
		if r := e.Rhythm; e.Kind == detect.KindRhythm && r.T > 23.5 && r.T < 35 && r.State != detect.NotWalking {
			t.Errorf("at %.1f s: %v, 3.5 s after the last step", r.T, r.State)
		}
	}
}

// Rows that are missing for three seconds are a gap of their own kind.
func TestMotionHole(t *testing.T) {
	s := walkAt(112)
	s.Duration, s.Holes = 60, [][2]float64{{25, 32}}
	m := s.Motion()
	events, got := feel(t, m.Rows)
	if n := between(got, 25.5, 31.5); n > 0 {
		t.Errorf("%d steps invented in the hole", n)
	}
	if n := between(got, 33, 60); n < 45 {
		t.Errorf("%d steps after the hole, want some 50", n)
	}
	lost := 0
	for _, e := range events {
		if e.Kind == detect.KindGap && e.Gap.Reason == detect.GapLost {
			lost++
		}
		if r := e.Rhythm; e.Kind == detect.KindRhythm && r.T > 30 && r.T < 32 && r.State != detect.CannotHear {
			t.Errorf("at %.1f s: %v, with no rows since 25 s", r.T, r.State)
		}
	}
	if lost != 1 {
		t.Errorf("%d gaps of lost input, want 1", lost)
	}
}

// Hours without a row cost next to nothing, and the clock goes on.
func TestMotionAfterHours(t *testing.T) {
	s := walkAt(112)
	s.Duration = 20
	rows := s.Motion().Rows
	d := newMotion(t)
	var events []detect.Event
	const later = 9 * 3600
	for _, shift := range []float64{0, later} {
		for _, r := range rows {
			var err error
			if events, err = d.Feed(events, r.T+shift, r.X, r.Y, r.Z); err != nil {
				t.Fatal(err)
			}
		}
	}
	got := stepTimes(d.Flush(events))
	first, second := between(got, 0, 60), between(got, later, later+60)
	if first != second || first < 28 || first+second != len(got) {
		t.Errorf("%d and %d steps in two walks that are the same, %d in all", first, second, len(got))
	}
}

// hands adds the bumps of hands at work: 0.1 to 0.2 s wide, at irregular times.
func hands(rows []made.Row, seed uint64, from, to, most float64) {
	rng := rand.New(rand.NewPCG(seed, 9))
	for at := from; at < to; at += 0.15 + rng.ExpFloat64()*0.5 {
		width, size := 0.05+0.05*rng.Float64(), most*rng.Float64()
		for i := range rows {
			if z := (rows[i].T - at) / width; math.Abs(z) < 4 {
				rows[i].Z += size * math.Exp(-0.5*z*z)
			}
		}
	}
}

// Hands that work, a minute each: three steps at most.
func TestMotionOfHandsIsNoWalk(t *testing.T) {
	for seed := range uint64(3) {
		rows := made.MotionSpec{Seed: seed, Rate: 25, Duration: 60}.Motion().Rows
		hands(rows, seed, 1, 59, 6)
		if _, got := feel(t, rows); len(got) > 3 {
			t.Errorf("seed %d: %d steps", seed, len(got))
		}
	}
}

// Ten steps between taking the phone and putting it away: the first and the
// last may be lost or doubled, no more.
func TestMotionTenSteps(t *testing.T) {
	for i, cadence := range []float64{95, 125, 160} {
		s := walkAt(cadence)
		s.Seed = uint64(i)
		last := 3 + 9.5*60/cadence
		s.Duration, s.Pauses = last+5, [][2]float64{{last, 60}}
		m := s.Motion()
		hands(m.Rows, uint64(i), 0.5, 2.5, 1.2)
		hands(m.Rows, uint64(i)+100, last+1, last+4.5, 1.2)
		if _, got := feel(t, m.Rows); len(got) < 9 || len(got) > 11 {
			t.Errorf("%d of %d steps at %g a minute", len(got), len(m.Steps), cadence)
		}
	}
}

// A rhythm from 90 to 230 steps/min goes through all gears without a seam.
func TestMotionThroughTheGears(t *testing.T) {
	for _, ends := range [][2]float64{{90, 230}, {230, 90}} {
		s := walkAt(0)
		s.Duration, s.Cadence = 60, made.Ramp(ends[0], ends[1], 5, 55)
		m := s.Motion()
		events, got := feel(t, m.Rows)
		if off := math.Abs(float64(len(got) - len(m.Steps))); off > 4 {
			t.Errorf("%g to %g: %d steps found of %d", ends[0], ends[1], len(got), len(m.Steps))
		}
		side := detect.Unknown
		for _, e := range events {
			if e.Kind == detect.KindStep {
				if side != detect.Unknown && e.Step.Side != side.Other() {
					t.Errorf("%g to %g: two %v steps in a row at %.2f s", ends[0], ends[1], side, e.Step.T)
				}
				side = e.Step.Side
			}
		}
	}
}

func TestMotionAllocatesNothing(t *testing.T) {
	rows := walkAt(112).Motion().Rows
	d := newMotion(t)
	events := make([]detect.Event, 0, 64)
	k, shift := 0, 0.0
	feed := func() {
		r := rows[k]
		events, _ = d.Feed(events[:0], r.T+shift, r.X, r.Y, r.Z)
		if k++; k == len(rows) {
			k, shift = 0, shift+rows[len(rows)-1].T+0.01
		}
	}
	for range 2000 {
		feed()
	}
	if n := testing.AllocsPerRun(3000, feed); n != 0 {
		t.Errorf("%g allocations a row", n)
	}
}

func BenchmarkMotion(b *testing.B) {
	rows := walkAt(112).Motion().Rows
	length := rows[len(rows)-1].T + 0.01
	d := newMotion(b)
	events := make([]detect.Event, 0, 64)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		r := rows[n%len(rows)]
		events, _ = d.Feed(events[:0], r.T+length*float64(n/len(rows)), r.X, r.Y, r.Z)
		n++
	}
	b.ReportMetric(float64(n)*length/float64(len(rows))/b.Elapsed().Seconds(), "x-realtime")
}

// FuzzMotion feeds rows as they may come: whatever they hold, times of steps
// rise, nothing is infinite, and there are no more steps than a runner makes.
func FuzzMotion(f *testing.F) {
	f.Add([]byte{10, 100, 10, 120, 10, 90, 0, 0, 255, 255, 1, 1}, uint16(2))
	f.Add([]byte(strings.Repeat("\x02\x60\x02\x90\x02\xc0\x02\x90", 60)), uint16(7))
	f.Add([]byte(strings.Repeat("\x05\x40\x05\xff", 90)), uint16(0))
	f.Fuzz(func(t *testing.T, data []byte, power uint16) {
		unit := math.Pow(10, float64(power%600)-300)
		d := newMotion(t)
		var events []detect.Event
		now := 0.0
		for i := 0; i+1 < len(data) && i < 1000; i += 2 {
			step := float64(data[i])/200 - 0.01
			if data[i] == 255 {
				step = 3000
			}
			x := unit * (float64(data[i+1]) - 10)
			if data[i+1] == 255 {
				x = math.MaxFloat64
			}
			var err error
			if events, err = d.Feed(events, now+step, x, 0, 0); err == nil {
				now += step
			}
		}
		events = d.Flush(events)
		last := math.Inf(-1)
		for _, s := range stepTimes(events) {
			if !(s > last) || s < 0 || s > now+1 {
				t.Fatalf("step at %g s after one at %g s, of %g s", s, last, now)
			}
			last = s
		}
		for _, e := range events {
			if r := e.Rhythm; math.IsNaN(r.Cadence+r.CadenceSD+r.Unevenness+r.Variability) || r.Cadence > 400 {
				t.Fatalf("rhythm %+v", r)
			}
		}
	})
}
