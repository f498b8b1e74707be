package sim

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"steadfoot/coach"
	"steadfoot/coach/event"
)

// modes are the choices of beat that the loop is tried with.
var modes = []coach.BeatChoice{
	{},
	{On: true, Mode: coach.Steady},
	{On: true, Mode: coach.Lead},
	{On: true, Mode: coach.Follow},
	{On: true, Mode: coach.Demand},
}

func session(t *testing.T, w Walker, beat coach.BeatChoice, c Coaching, duration float64) (*Result, coach.Settings) {
	t.Helper()
	s, err := w.Settings(beat)
	if err != nil {
		t.Fatal(err)
	}
	c.Settings = s
	r, err := Run(w, c, duration)
	if err != nil {
		t.Fatal(err)
	}
	return r, s
}

// The same walker with the same coaching gives the same session, and a stored
// session replays to the bit.
func TestDeterministic(t *testing.T) {
	for i, w := range Population(11, 10) {
		beat := modes[i%len(modes)]
		a, settings := session(t, w, beat, Coaching{Words: true, Keep: true}, 240)
		b, _ := session(t, w, beat, Coaching{Words: true, Keep: true}, 240)
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("walker %d, beat %+v: two runs differ", i, beat)
		}
		if d := coach.Replay(settings, slices.Values(a.Events)); len(d) > 0 {
			t.Errorf("walker %d, beat %+v: the replay differs: %v", i, beat, d[0])
		}
		other := w
		other.Seed++
		if c, _ := session(t, other, beat, Coaching{Words: true}, 240); reflect.DeepEqual(a.Steps, c.Steps) {
			t.Errorf("walker %d: another seed gives the same steps", i)
		}
	}
}

// The coach gets its inputs in the order in which they come to light, and the
// times of steps rise.
func TestInputs(t *testing.T) {
	w := Population(12, 1)[0]
	r, _ := session(t, w, modes[1], Coaching{Words: true, Keep: true}, 300)
	var steps, bridged, rhythms int
	last := math.Inf(-1)
	for _, e := range r.Events {
		switch e := e.(type) {
		case event.Step:
			if e.T <= last {
				t.Fatalf("a step at %v s after one at %v s", e.T, last)
			}
			last = e.T
			if steps++; !e.Heard {
				bridged++
			}
		case event.Rhythm:
			if rhythms++; e.T != 0.5*float64(rhythms) {
				t.Fatalf("rhythm %d is at %v s", rhythms, e.T)
			}
		}
	}
	// The last half second is told with a step after it, if there is one.
	if rhythms < 599 || rhythms > 600 || steps < len(r.Steps)-2 || bridged < steps/100 || bridged > steps/15 {
		t.Errorf("%d rhythms, %d of %d steps told, %d bridged; want 599 or 600, all but the last one or two, 3 %%", rhythms, steps, len(r.Steps), bridged)
	}
}

// Who does not respond, and is never woken, walks to the step as alone, whatever
// is said or played: the noise does not depend on the coaching.
func TestSameNoise(t *testing.T) {
	for _, w := range Population(13, 40) {
		if w.Class != NotResponding {
			continue
		}
		w.Attention.Wakes = 0
		alone, _ := session(t, w, modes[0], Coaching{Nothing: true}, 300)
		for _, beat := range modes {
			r, _ := session(t, w, beat, Coaching{Words: true}, 300)
			if len(alone.Cues) != 0 || len(r.Cues) == 0 {
				t.Errorf("%d cues alone and %d coached", len(alone.Cues), len(r.Cues))
			}
			if len(r.Steps) != len(alone.Steps) {
				t.Fatalf("beat %+v: %d steps, alone %d", beat, len(r.Steps), len(alone.Steps))
			}
			for i, s := range r.Steps {
				if s.T != alone.Steps[i].T {
					t.Fatalf("beat %+v: step %d at %v s, alone at %v s", beat, i, s.T, alone.Steps[i].T)
				}
			}
		}
	}
}

// The coach helps every class that responds, by a tenth of the time at least.
func TestCoachingHelps(t *testing.T) {
	var alone, coached [4]float64
	for _, w := range Population(14, 20) {
		k := slices.Index(Classes, w.Class)
		a, _ := session(t, w, modes[0], Coaching{Nothing: true}, 600)
		c, _ := session(t, w, modes[1], Coaching{Words: true}, 600)
		alone[k] += a.Band().Inside
		coached[k] += c.Band().Inside
	}
	for k, class := range Classes[:3] {
		if n := map[Class]float64{Responsive: 10, Slow: 4, Inattentive: 4}[class]; coached[k]/n < alone[k]/n+0.1 {
			t.Errorf("%s: %.2f of the time in the band alone, %.2f coached", class, alone[k]/n, coached[k]/n)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	w := Population(1, 1)[0]
	if _, err := Run(w, Coaching{}, 10); err == nil || !strings.HasPrefix(err.Error(), "sim: coach: target cadence is 0") {
		t.Errorf("error %v, want the setting that is wrong", err)
	}
	w.Target = 500
	if _, err := w.Settings(coach.BeatChoice{}); err == nil {
		t.Error("a target of 500 steps/min is accepted")
	}
}

func TestPopulation(t *testing.T) {
	all := Population(1, 200)
	class, over := map[Class]int{}, 0
	for i, w := range all {
		class[w.Class]++
		if w.Over {
			over++
		}
		if ask := w.Target/w.Gait.Preferred - 1; ask < 0.02 || ask > 0.05 {
			t.Errorf("walker %d is asked for %.3f more than their own cadence", i, ask)
		}
		if w.Fatigue.SlowsAt <= w.Fatigue.ShortensAt {
			t.Errorf("walker %d slows before the step shortens", i)
		}
	}
	if class[Responsive] != 100 || class[Slow] != 40 || class[Inattentive] != 40 || class[NotResponding] != 20 {
		t.Errorf("classes %v, want 100, 40, 40 and 20", class)
	}
	if over < 18 || over > 30 {
		t.Errorf("%d overreact, want about an eighth of 180", over)
	}
	if !reflect.DeepEqual(all[:7], Population(1, 7)) {
		t.Error("seven walkers are not the first seven of two hundred")
	}
	if reflect.DeepEqual(all[:7], Population(2, 7)) {
		t.Error("another seed draws the same walkers")
	}
}
