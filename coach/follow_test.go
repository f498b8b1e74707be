package coach

import (
	"fmt"
	"math"
	"testing"

	"steadfoot/coach/event"
)

func modeSettings(mode BeatMode) Settings {
	s := testSettings()
	s.Beat.Mode, s.Ahead = mode, 0.03
	return s
}

func newTestCoach(t *testing.T, s Settings) *Coach {
	t.Helper()
	c, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func spread(xs []float64) (mean, sd float64) {
	for _, x := range xs {
		mean += x / float64(len(xs))
	}
	for _, x := range xs {
		sd += (x - mean) * (x - mean) / float64(len(xs)-1)
	}
	return mean, math.Sqrt(sd)
}

// TestFollowStable walks with the beat that follows. Two who both correct must
// not rock each other: what is left of the asynchrony must be no more than what
// the same walker has with a beat that does not move. By the linear model that
// is noise/√(1 − (1−α)²).
func TestFollowStable(t *testing.T) {
	const noise = 0.004 // s
	for _, alpha := range []float64{0.2, 0.4, 0.6, 0.8} {
		for _, delay := range []float64{0.03, 0.25, 0.6} {
			t.Run(fmt.Sprintf("alpha %v, told after %v s", alpha, delay), func(t *testing.T) {
				if alpha+followGain >= 1 {
					t.Errorf("both together correct %v", alpha+followGain)
				}
				s := modeSettings(Follow)
				s.Cadence = 190
				m := &model{alpha: alpha, beta: 0.1, noise: noise, own: steadily(190), early: 0.03, delay: delay}
				var all []float64
				m.onStep = func(at, a float64) {
					if at > 60 {
						all = append(all, a)
					}
				}
				m.begin(newTestCoach(t, s), 1)
				m.walk(360)
				mean, sd := spread(all)
				alone := noise / math.Sqrt(1-(1-alpha)*(1-alpha))
				if len(all) < 900 || math.Abs(mean) > 0.002 || sd > 1.1*alone {
					t.Errorf("%d steps, mean %.1f ms, SD %.1f ms; with a steady beat it were %.1f", len(all), 1000*mean, 1000*sd, 1000*alone)
				}
			})
		}
	}
}

// TestFollowDeaf: a walker who does not mind the beat at all has it near the feet
// all the same, within what may count as a habit.
func TestFollowDeaf(t *testing.T) {
	m := &model{noise: 0.004, own: steadily(191), early: 0.03, delay: 0.03}
	var all []float64
	m.onStep = func(at, a float64) {
		if at > 60 {
			all = append(all, a)
		}
	}
	m.begin(newTestCoach(t, modeSettings(Follow)), 1)
	m.walk(360)
	if mean, sd := spread(all); math.Abs(mean) > followHabit || sd > 0.015 {
		t.Errorf("mean %.1f ms, SD %.1f ms", 1000*mean, 1000*sd)
	}
}

// TestFollowStumble: a step that comes 120 ms late is made up by the beat, in
// bends below 2.5 % of the interval of its tempo (Friberg and Sundberg 1995).
func TestFollowStumble(t *testing.T) {
	m := &model{alpha: 0, own: steadily(192), early: 0.03, delay: 0.03}
	var left []float64
	m.onStep = func(at, a float64) {
		if at > 75 {
			left = append(left, a)
		}
	}
	m.onTell = func(out []event.Event) {
		for _, e := range out {
			tempo := m.coach.pacer.tuned.cadence
			if b, ok := e.(event.Beat); ok && b.Period > 0 && math.Abs(b.Period*tempo/60-1) > 0.025 {
				t.Fatalf("%+v at %v", b, tempo)
			}
		}
	}
	m.begin(newTestCoach(t, modeSettings(Follow)), 1)
	m.walk(60)
	m.t += 0.12
	m.walk(90)
	if len(left) < 40 {
		t.Fatalf("%d steps", len(left))
	}
	if mean, sd := spread(left); math.Abs(mean) > 0.004 || sd > 0.002 {
		t.Errorf("mean %.1f ms, SD %.1f ms", 1000*mean, 1000*sd)
	}
}

// TestFollowFeet: the beat of the left foot comes with the left foot, also when
// the detector changes its mind about the feet.
func TestFollowFeet(t *testing.T) {
	s := modeSettings(Follow)
	m := &model{alpha: 0.5, noise: 0.003, own: steadily(192), early: 0.03, delay: 0.03}
	c := newTestCoach(t, s)
	m.begin(c, 1)
	for _, until := range []float64{40, 80, 120} {
		m.walk(until)
		m.swapped = !m.swapped
		last := m.steps[len(m.steps)-1]
		for _, b := range collect(c.Beats(), last.T-0.1, last.T+0.16) {
			if b.Side != last.Side {
				t.Errorf("at %v s: the beat at %v has the %v foot, the step at %v is the %v", until, b.T, b.Side, last.T, last.Side)
			}
		}
	}
}
