package main

import (
	"math"

	"steadfoot/detect"
)

// stretchBreak is the time between steps, in s, that no walk bridges: twice the
// slowest step. After it a new stretch begins.
const stretchBreak = 2 * 60 / detect.Slowest

// summary adds up the events of a recording.
type summary struct {
	steps, bridged int
	intervals      int     // between steps of one stretch
	walked         float64 // their sum, s
	last           float64 // time of the last step, s

	stretch mean // unevenness within the present stretch, signed
	uneven  mean // size of the unevenness, over stretches
	spread  mean
}

// mean is a running mean.
type mean struct{ sum, weight float64 }

func (m *mean) add(x, weight float64) { m.sum += x * weight; m.weight += weight }

func (m mean) value() float64 { return m.sum / m.weight } // NaN when empty

// add takes the next event.
func (s *summary) add(e detect.Event) {
	switch e.Kind {
	case detect.KindStep:
		s.addStep(e.Step)
	case detect.KindRhythm:
		if r := e.Rhythm; r.State == detect.Walking && r.Variability > 0 {
			s.stretch.add(r.Unevenness, 1)
			s.spread.add(r.Variability, 1)
		}
	}
}

func (s *summary) addStep(st detect.Step) {
	if d := st.T - s.last; s.steps > 0 && d < stretchBreak {
		s.intervals++
		s.walked += d
	} else {
		s.endStretch()
	}
	s.steps++
	s.last = st.T
	if !st.Heard {
		s.bridged++
	}
}

// endStretch books the unevenness of a stretch by its size: after a stop the
// feet may have changed names, and with them the sign.
func (s *summary) endStretch() {
	if s.stretch.weight > 0 {
		s.uneven.add(math.Abs(s.stretch.value()), s.stretch.weight)
	}
	s.stretch = mean{}
}

// walking is the time between the first and the last step of all stretches, s.
func (s *summary) walking() float64 { return s.walked }

// cadence is the mean over the time walked, steps/min; NaN for single steps.
func (s *summary) cadence() float64 { return 60 * float64(s.intervals) / s.walked }

// unevenness is the mean size of the symmetry index of step times, %; NaN when
// there are too few steps.
func (s *summary) unevenness() float64 {
	t := *s
	t.endStretch()
	return t.uneven.value()
}

// variability is the mean over time of the variation of stride time, %; NaN
// when there are too few steps.
func (s *summary) variability() float64 { return s.spread.value() }
