package detect

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/detect/made"
)

// bothOf is a made walk that is heard and felt; change is given its two halves.
func bothOf(seed uint64, change func(*made.Spec, *made.MotionSpec)) (made.Walk, []made.Row) {
	g := made.Gait{Cadence: made.Steady(184), JitterCV: 2, LongRange: 0.3, Start: 0.7}
	sound := made.Spec{Seed: seed, Duration: 20, Gait: g, LevelJitter: 1.5}
	motion := made.MotionSpec{Seed: seed, Duration: 20, Gait: g}
	if change != nil {
		change(&sound, &motion)
	}
	return sound.Walk(), motion.Motion().Rows
}

// hearAndFeel feeds both as they come in time, pieces of the given length at once.
func hearAndFeel(t *testing.T, s *Sound, x []float32, rows []made.Row, piece int) (events []Event) {
	t.Helper()
	for at := 0; at < len(x); at += piece {
		for len(rows) > 0 && rows[0].T <= float64(at)/s.rate {
			if err := s.Feel(rows[0].T, rows[0].X, rows[0].Y, rows[0].Z); err != nil {
				t.Fatal(err)
			}
			rows = rows[1:]
		}
		events = s.Feed(events, x[at:min(len(x), at+piece)])
	}
	return s.Flush(events)
}

func newFeeling(t testing.TB) *Sound {
	t.Helper()
	s, err := NewSound(SoundConfig{Rate: 48000, Felt: true})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// near counts the steps of events that are near a true one.
func near(events []Event, steps []made.Truth, from, within float64) (hits, all int) {
	for _, e := range events {
		if e.Kind != KindStep || e.Step.T < from {
			continue
		}
		all++
		for _, s := range steps {
			if math.Abs(e.Step.T-s.T) <= within {
				hits++
				break
			}
		}
	}
	return hits, all
}

// Without a row, a detector that might be given some says the same as one that
// may not, to the bit.
func TestFeltWithoutRows(t *testing.T) {
	w, _ := bothOf(3, func(s *made.Spec, _ *made.MotionSpec) {
		s.Noises = []made.Noise{{Kind: made.Pink, SNR: -6}}
		s.Pauses = [][2]float64{{8, 12}}
	})
	plain, err := NewSound(SoundConfig{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	want := hearAndFeel(t, plain, w.Samples, nil, 480)
	if got := hearAndFeel(t, newFeeling(t), w.Samples, nil, 480); !reflect.DeepEqual(got, want) {
		t.Error("the events differ")
	}
	if hits, _ := near(want, w.Steps, 0, 0.050); hits < 30 {
		t.Errorf("%d steps; nothing is proven", hits)
	}
}

// The lag between a contact and what the sensor makes of it is found, whatever
// delays the rows, and steps are told where they are heard.
func TestLagIsLearned(t *testing.T) {
	for _, late := range []float64{-0.1, 0, 0.1, 0.2} {
		w, rows := bothOf(5, nil)
		for i := range rows {
			rows[i].T += late
		}
		for rows[0].T <= 0 {
			rows = rows[1:]
		}
		s := newFeeling(t)
		events := hearAndFeel(t, s, w.Samples, rows, 480)
		l := s.joint.lags
		if got := l.lag(l.best); math.Abs(got-lagUsualS-late) > 0.015 || l.known < 0.9 {
			t.Errorf("%g s late: a lag of %.3f s is believed by %.2f, want about %.3f s", late, got, l.known, lagUsualS+late)
		}
		if hits, all := near(events, w.Steps, 0, 0.010); hits < len(w.Steps)-1 || all > len(w.Steps) {
			t.Errorf("%g s late: %d of %d steps told are within 10 ms of the %d", late, hits, all, len(w.Steps))
		}
	}
}

// A sensor whose lag is known says nothing on the whole where its bumps have
// nothing to do with the contact: over a period its likelihood ratio has mean 1.
func TestTouchHasMeanOne(t *testing.T) {
	l := newLags(0.005)
	var sum float64
	for i := range 200 {
		sum += l.near(-0.4+0.005*float64(i)) * 0.005
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("the lags' probabilities sum to %v", sum)
	}
	j := newJoint(0.005)
	j.lags.known = 1
	const period = 0.4
	f := j.felt
	f.n = 300
	for i := range f.says {
		f.says[i] = feltFrame{weight: 1, period: period, gain: 1, most: math.Inf(1)}
	}
	for i := range 15 {
		f.bumps[i], f.count = period*float64(i), i+1
	}
	sum = 0
	for range 400 { // from 0 to 2 s: five periods
		sum += j.touch().ratio
	}
	if mean := sum / 400; math.Abs(mean-1) > 0.01 {
		t.Errorf("mean ratio %v, want 1", mean)
	}
}

// A sensor that is laid down, or whose rows stop, or start again, does not keep
// the ear from hearing; and steps that nothing is to be felt of do not wait.
func TestSensorThatStops(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*made.MotionSpec)
	}{
		{"laid down", func(m *made.MotionSpec) { m.Pauses = [][2]float64{{8, 100}} }},
		{"rows stop", func(m *made.MotionSpec) { m.Holes = [][2]float64{{8, 100}} }},
		{"rows missing for a while", func(m *made.MotionSpec) { m.Holes = [][2]float64{{8, 12}} }},
		{"none at first", func(m *made.MotionSpec) { m.Holes = [][2]float64{{0, 9}} }},
	} {
		w, rows := bothOf(9, func(_ *made.Spec, m *made.MotionSpec) { c.change(m) })
		s := newFeeling(t)
		events := hearAndFeel(t, s, w.Samples, rows, 480)
		if hits, all := near(events, w.Steps, 0, 0.020); hits < len(w.Steps)-1 || all > len(w.Steps) {
			t.Errorf("%s: %d of %d steps told are right, of %d", c.name, hits, all, len(w.Steps))
		}
		if c.name == "rows stop" && s.joint.delay() > 0 {
			t.Errorf("%s: sound still waits %.2f s for rows", c.name, s.joint.delay())
		}
	}
}

// An ear that hears nothing does not silence the sensor: its steps are told,
// later than in sound, and as heard.
func TestEarThatHearsNothing(t *testing.T) {
	w, rows := bothOf(11, nil)
	clear(w.Samples)
	s := newFeeling(t)
	events := hearAndFeel(t, s, w.Samples, rows, 480)
	hits, all := near(events, w.Steps, 0, 0.050)
	if hits < len(w.Steps)-8 || all > hits {
		t.Errorf("%d of %d steps told are right, of %d", hits, all, len(w.Steps))
	}
	for _, e := range events {
		if e.Kind == KindRhythm && e.Rhythm.T > 10 && (e.Rhythm.State != Walking || math.Abs(e.Rhythm.Cadence-184) > 4 || e.Rhythm.Heard < 0.9) {
			t.Fatalf("%+v", e.Rhythm)
		}
	}
}

// What is fed ahead, as from a file, and in what pieces, changes nothing.
func TestFeltInAnyPieces(t *testing.T) {
	w, rows := bothOf(13, func(s *made.Spec, _ *made.MotionSpec) { s.Noises = []made.Noise{{Kind: made.Pink, SNR: -6}} })
	steps := func(ahead float64, piece int) (all []Step) {
		s, rest := newFeeling(t), rows
		var events []Event
		for at := 0; at < len(w.Samples); at += piece {
			for len(rest) > 0 && rest[0].T <= float64(at)/s.rate+ahead {
				if err := s.Feel(rest[0].T, rest[0].X, rest[0].Y, rest[0].Z); err != nil {
					t.Fatal(err)
				}
				rest = rest[1:]
			}
			events = s.Feed(events, w.Samples[at:min(len(w.Samples), at+piece)])
		}
		for _, e := range s.Flush(events) {
			if e.Kind == KindStep {
				all = append(all, e.Step)
			}
		}
		return all
	}
	want := steps(0, 480)
	if len(want) < 40 {
		t.Fatalf("%d steps; nothing is proven", len(want))
	}
	if got := steps(1, 1000); !reflect.DeepEqual(got, want) {
		t.Error("other steps a second ahead")
	}
	if got := steps(0.1, 4800); !reflect.DeepEqual(got, want) {
		t.Error("other steps in pieces of 0.1 s")
	}
}

// Rows that cannot be are refused, in words, and leave everything as it was.
func TestRowsThatCannotBe(t *testing.T) {
	plain, err := NewSound(SoundConfig{Rate: 48000})
	if err != nil {
		t.Fatal(err)
	}
	if err := plain.Feel(0, 0, 0, 9.8); err == nil {
		t.Error("a row without Felt is no error")
	}
	s := newFeeling(t)
	w, rows := bothOf(15, nil)
	s.Feed(nil, w.Samples[:4800])
	nan, inf := math.NaN(), math.Inf(1)
	if err := s.Feel(0.05, 0, 0, 9.8); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		row  [4]float64
		says string
	}{
		{[4]float64{0.06, nan, 0, 0}, "not a finite number"},
		{[4]float64{0.06, 0, inf, 0}, "not a finite number"},
		{[4]float64{0.06, 0, 0, 1e200}, "not a finite number"},
		{[4]float64{nan, 0, 0, 9.8}, "not a finite number"},
		{[4]float64{inf, 0, 0, 9.8}, "ahead"},
		{[4]float64{1e12, 0, 0, 9.8}, "ahead"},
		{[4]float64{-inf, 0, 0, 9.8}, "not a finite number"},
		{[4]float64{0.05, 0, 0, 9.8}, "not later"},
		{[4]float64{-3, 0, 0, 9.8}, "not later"},
	} {
		r := c.row
		if err := s.Feel(r[0], r[1], r[2], r[3]); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("row %v: error %v, want it to say %q", r, err, c.says)
		}
	}
	for len(rows) > 0 && rows[0].T <= 0.05 {
		rows = rows[1:]
	}
	if hits, all := near(hearAndFeel(t, s, w.Samples, delay(rows, 0.1), 480), w.Steps, 0, 0.2); hits < len(w.Steps)-2 || all < hits {
		t.Errorf("%d of %d steps told after that, of %d", hits, all, len(w.Steps))
	}
}

// delay moves rows by so many seconds: the sound that was fed before is repeated.
func delay(rows []made.Row, by float64) []made.Row {
	moved := make([]made.Row, len(rows))
	for i, r := range rows {
		r.T += by
		moved[i] = r
	}
	return moved
}

// One row with a monstrous value, even the first, is soon forgotten.
func TestMonstrousRow(t *testing.T) {
	for _, at := range []int{0, 300} {
		w, rows := bothOf(17, nil)
		clear(w.Samples)
		rows[at].X = 1e150
		events := hearAndFeel(t, newFeeling(t), w.Samples, rows, 480)
		if hits, _ := near(events, w.Steps, 10, 0.050); hits < 25 {
			t.Errorf("row %d: %d steps from 10 s on", at, hits)
		}
	}
}

// BenchmarkFeel is a second of sound and of rows, a walk in both.
func BenchmarkFeel(b *testing.B) {
	s := newFeeling(b)
	x := thuds(48000)
	events := make([]Event, 0, 256)
	at := 0
	second := func() {
		for i := range 100 {
			at++
			push := 3 * math.Exp(-8*math.Mod(float64(at)/100, 1.0/3))
			if err := s.Feel(float64(at)/100, 0.1, 0.2, 9.8+push); err != nil {
				b.Fatal(err)
			}
			events = s.Feed(events[:0], x[480*i:480*(i+1)])
		}
	}
	for range 10 { // a walk is being followed
		second()
	}
	if allocs := testing.AllocsPerRun(5, second); allocs > 0 {
		b.Fatalf("%g allocations a second of sound and rows", allocs)
	}
	b.ReportAllocs()
	for b.Loop() {
		second()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "x_real_time")
}
