package sim

import (
	"math"
	"testing"

	"steadfoot/coach/event"
)

// plain is a walker of middling values who neither tires, drifts, lapses nor
// answers.
func plain(seed uint64) Walker {
	return Walker{
		Seed: seed, Class: Responsive, Target: 180,
		Gait:      Gait{Preferred: 180, Length: 1, StrideCV: 1.3, LongRange: 0.5, Motor: 0.4},
		Effort:    Effort{Most: 10, Fades: math.Inf(1), FadesAway: math.Inf(1)},
		Sync:      Sync{Alpha: 0.4, Beta: 0.05, Lead: 0.05, Reach: 6},
		Attention: Attention{On: math.Inf(1), Off: 10},
	}
}

// metronome is a beat with a time for each n.
type metronome func(n int) float64

// walk takes a body n steps along a metronome, or alone with nil.
func walk(b *body, n int, m metronome) []Step {
	steps := make([]Step, n)
	beat := 0
	for i := range steps {
		var t float64
		ok := false
		if m != nil {
			for math.Abs(m(beat+1)-b.now) < math.Abs(m(beat)-b.now) {
				beat++
			}
			t, ok = m(beat), math.Abs(m(beat)-b.now) < b.own(b.now)/2
		}
		steps[i] = b.hear(t, ok)
		b.step(steps[i])
	}
	return steps
}

// Fatigue shortens the step first (Hanley, Bissas and Drake 2011).
func TestFatigue(t *testing.T) {
	w := plain(1)
	w.Fatigue = Fatigue{ShortensAt: 300, Shortens: 0.5, SlowsAt: 600, Slows: 0.2}
	b := newBody(w)
	steps := walk(b, 3540, nil) // about 20 min
	at := func(from float64) (length, cadence float64) {
		var n, first, last float64
		for _, s := range steps {
			if s.T >= from && s.T < from+60 {
				if n == 0 {
					first = s.T
				}
				n, last, length = n+1, s.T, length+s.Length
			}
		}
		return length / n, 60 * (n - 1) / (last - first)
	}
	l0, c0 := at(200)
	l1, c1 := at(540)
	l2, c2 := at(1080)
	if !(l1 < 0.985*l0 && l1 > 0.97*l0) || math.Abs(c1/c0-1) > 0.01 {
		t.Errorf("after 9.5 min length %.3f to %.3f m, cadence %.1f to %.1f: want the length alone to have fallen, by 2 to 2.5 %%", l0, l1, c0, c1)
	}
	if !(l2 < 0.95*l0) || !(c2 < 0.99*c0) {
		t.Errorf("after 18.5 min length %.3f to %.3f m, cadence %.1f to %.1f: want both to have fallen", l0, l2, c0, c2)
	}
}

// An effort fades, faster without attention.
func TestDrift(t *testing.T) {
	for _, c := range []struct{ on, want float64 }{
		{math.Inf(1), 180 * (1 + 0.05*math.Exp(-1))}, // with attention, after one time constant
		{1e-9, 180 * (1 + 0.05*math.Exp(-3))},        // without, after three
	} {
		w := plain(2)
		w.Target, w.Effort.Start = 189, 1
		w.Effort.Fades, w.Effort.FadesAway = 120, 40
		w.Attention.On, w.Attention.Off = c.on, math.Inf(1)
		b := newBody(w)
		for b.now < 120 {
			walk(b, 1, nil)
		}
		if got := 60 / b.own(b.now); math.Abs(got-c.want) > 0.5 {
			t.Errorf("after 2 min the walker means to walk %.2f, want %.2f", got, c.want)
		}
	}
}

// What a word changes, and when.
func TestAnswers(t *testing.T) {
	for _, c := range []struct {
		name          string
		cue           event.Cue
		chance        float64
		early, settle float64 // cadence that is meant right after the cue and 10 s later, steps/min
	}{
		{"quicken", event.Cue{Name: event.CueQuicken}, 1, 180, 185.4},
		{"ease", event.Cue{Name: event.CueEase}, 1, 180, 174.6},
		{"fade", event.Cue{Name: event.CueFade}, 1, 180, 182.7},
		{"a little missing", event.Cue{Name: event.CueCadence, Value: 178}, 1, 180, 180 * (1 + 0.5*2/178)},
		{"too much", event.Cue{Name: event.CueCadence, Value: 188}, 1, 180, 180 * (1 - 0.5*8/188)},
		{"settled", event.Cue{Name: event.CueSettled}, 1, 180, 180},
		{"not heard", event.Cue{Name: event.CueQuicken}, 0, 180, 180},
	} {
		w := plain(4)
		w.Answer = Answer{Chance: c.chance, Latency: 3, Size: 3, Digits: 0.5}
		b := newBody(w)
		for b.now < 20 {
			walk(b, 1, nil)
		}
		c.cue.T = b.now
		b.word(c.cue)
		for b.now < c.cue.T+1.4 {
			walk(b, 1, nil)
		}
		if got := 60 / b.own(b.now); math.Abs(got-c.early) > 0.01 {
			t.Errorf("%s: %.2f steps/min before anyone can have answered, want %.2f", c.name, got, c.early)
		}
		for b.now < c.cue.T+10 {
			walk(b, 1, nil)
		}
		if got := 60 / b.own(b.now); math.Abs(got-c.settle) > 0.01 {
			t.Errorf("%s: %.2f steps/min in the end, want %.2f", c.name, got, c.settle)
		}
	}
}

// Digits that follow a word make one word with it; later they are another.
func TestWordAndDigits(t *testing.T) {
	for after, want := range map[float64]float64{
		1: 180 * (1 + 4.0/176),        // before the answer has begun
		5: 180 * (1 + 4.0/176),        // while it is under way
		9: 180 * (1 + 0.03 + 4.0/176), // after it
	} {
		l := newListener(1, Answer{Chance: 1, Latency: 3, Size: 3, Digits: 1}, 180)
		l.word(event.Cue{T: 10, Name: event.CueQuicken}, true)
		e := l.due(10 + after)
		l.word(event.Cue{T: 10 + after, Name: event.CueCadence, Value: 176}, true)
		e += l.due(40)
		if got := 180 * (1 + e); math.Abs(got-want) > 0.01 {
			t.Errorf("digits %g s after the word: %.2f steps/min in the end, want %.2f", after, got, want)
		}
	}
}

// Attention lapses for the times it should, and a word may end a lapse.
func TestAttention(t *testing.T) {
	m := newMind(1, Attention{On: 60, Off: 20, Wakes: 1})
	on, lapses := 0.0, 0
	const long = 100_000
	for i := range long {
		if m.at(float64(i)) {
			lapses++
		}
		if m.on {
			on++
		}
	}
	if share := on / long; math.Abs(share-0.75) > 0.03 || math.Abs(float64(lapses)/1250-1) > 0.1 {
		t.Errorf("attentive for %.2f of the time with %d lapses, want 0.75 and about 1250", share, lapses)
	}
	for m.on {
		m.at(m.until)
	}
	if m.word(m.until-1e-3, 0.99); !m.on {
		t.Error("a word that always wakes does not")
	}
}
