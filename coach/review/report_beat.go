package review

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/review/circular"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// Met is how the feet met the beat that was played. The phase of a step is its
// time after the beat nearest to it, as an angle: a whole turn is one step of the
// beat.
type Met struct {
	circular.Summary
	Phases []float64        // radians, -π to π, one for each heard step with a beat
	Period float64          // of the beat from step to step, the median over these, s
	Beats  int              // played
	Modes  []coach.BeatMode // in which it went with the walker, in the parts there were
}

// fewSteps is the number of steps below which a direction says little.
const fewSteps = 50

// Asynchrony is the mean time from the beat to the step, s: negative is before it.
func (m *Met) Asynchrony() float64 { return m.Mean / (2 * math.Pi) * m.Period }

// Spread is the circular standard deviation as a time, s.
func (m *Met) Spread() float64 { return m.SD() / (2 * math.Pi) * m.Period }

// stroke is a beat and the time from step to step that it was played at.
type stroke struct{ t, period float64 }

// meet holds the heard steps against the beats that were played; nil when there
// are none of either. Steps further from a beat than half a step have none: where
// a beat falls on every second or fourth step only, the others are left out.
func meet(set coach.Settings, events []event.Event, steps []detect.Step, until float64) *Met {
	beats := strokes(set, events, until)
	m := Met{Beats: len(beats), Modes: modes(set)}
	var periods []float64
	for _, s := range steps {
		if !s.Heard {
			continue
		}
		b, ok := nearest(beats, s.T)
		if !ok {
			continue
		}
		if turn := (s.T - b.t) / b.period; math.Abs(turn) <= 0.5 {
			m.Phases = append(m.Phases, 2*math.Pi*turn)
			periods = append(periods, b.period)
		}
	}
	if len(m.Phases) == 0 {
		return nil
	}
	m.Summary, m.Period = circular.Of(m.Phases), coach.Median(periods)
	return &m
}

// modes are the modes of the beat that the settings ask for, each once.
func modes(set coach.Settings) []coach.BeatMode {
	own := cmp.Or(set.Beat.Mode, coach.Steady)
	if set.Plan == nil {
		return []coach.BeatMode{own}
	}
	var out []coach.BeatMode
	for _, p := range set.Plan.Parts {
		if p.Role == profiles.PlanRecovery && p.Beat == "" && !set.Beat.Recoveries {
			continue
		}
		mode := cmp.Or(coach.BeatMode(p.Beat), own)
		if mode != profiles.BeatOff && !slices.Contains(out, mode) {
			out = append(out, mode)
		}
	}
	return out
}

// strokes are the beats that were played, in order.
func strokes(set coach.Settings, events []event.Event, until float64) []stroke {
	m := coach.BeatMap{Only: set.Beat.Foot, Every: set.Beat.Every}
	for _, e := range events {
		m.Take(e)
	}
	var out []stroke
	pieces := m.Pieces()
	for i, p := range pieces {
		to := until
		if i+1 < len(pieces) {
			to = min(to, pieces[i+1].Start)
		}
		m.Between(p.Start, to, func(b coach.Beat) { out = append(out, stroke{b.T, p.Period}) })
	}
	return out
}

func nearest(beats []stroke, t float64) (stroke, bool) {
	if len(beats) == 0 {
		return stroke{}, false
	}
	i := sort.Search(len(beats), func(i int) bool { return beats[i].t >= t })
	if i == len(beats) || i > 0 && t-beats[i-1].t < beats[i].t-t {
		i--
	}
	return beats[i], true
}
