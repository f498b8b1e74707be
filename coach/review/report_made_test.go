package review

import (
	"math"
	"math/rand/v2"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/detect"
)

// maker makes the events of a session step by step.
type maker struct {
	events []event.Event
	t      float64 // s
	tick   float64 // of the last rhythm event, s
	side   detect.Side
	r      *rand.Rand
}

func newMaker(seed uint64) *maker {
	return &maker{side: detect.Left, r: rand.New(rand.NewPCG(seed, 9)), events: []event.Event{event.Mark{Name: event.MarkStart}}}
}

func (m *maker) add(e event.Event) { m.events = append(m.events, e) }

// walk walks so far, in m, with a cadence and a step length that are a little
// different with every step; it ends at the line, within a step.
func (m *maker) walk(distance, cadence, length float64) {
	end := m.t + distance/length/cadence*60
	for step := m.t; ; {
		step += 60 / cadence * (1 + 0.012*m.r.NormFloat64())
		if m.side == detect.Right {
			step += 0.004
		}
		for m.tick+0.5 <= min(step, end) {
			m.tick += 0.5
			m.add(event.Rhythm{Rhythm: detect.Rhythm{T: m.tick, State: detect.Walking, Cadence: cadence * (1 + 0.006*math.Sin(m.tick/9) + 0.003*m.r.NormFloat64()),
				CadenceSD: 0.6, Unevenness: 1.2 + 0.2*m.r.NormFloat64(), Variability: 1.3 + 0.1*m.r.NormFloat64(), Heard: 0.98},
				Pace: coach.PaceOf(cadence, 1.05), Distance: m.tick * 3.3})
		}
		if step >= end {
			break
		}
		m.add(event.Step{Step: detect.Step{T: step, Side: m.side, Confidence: 0.9, Heard: m.r.Float64() < 0.98}})
		m.side = m.side.Other()
	}
	m.t = end
}

// reps makes n reps of so many metres with recoveries between them: the cadence
// holds and the step gets shorter, by 4 % from the first to the last. The laps of
// the reps are marked.
func reps(n int, metres float64, label string) []event.Event {
	m := newMaker(uint64(n))
	m.part(event.Part{N: 1, Role: event.RoleWarmUp, Duration: 120}, 0)
	m.walk(400, 165, 0.95)
	for i := range n {
		m.part(event.Part{N: 2 + 2*i, Role: event.RoleRep, Label: label, Set: 1, Rep: i + 1, Of: n, Length: metres}, 195)
		m.add(event.Beat{T: m.t, Start: m.t, Period: 60 / 195.0, Side: m.side})
		from, cadence := m.t, 194+2*m.r.NormFloat64()
		length := (1.12 + 0.008*m.r.NormFloat64()) * (1 - 0.04*float64(i)/float64(n))
		m.walk(metres, cadence, length)
		m.add(event.Mark{T: m.t, Name: event.MarkLap})
		m.add(event.Lap{T: m.t, Distance: metres, Time: m.t - from, Steps: int(metres / length), StepLength: length})
		if i%3 == 1 {
			m.add(event.Cue{T: from + 0.4*(m.t-from), Name: event.CueQuicken, Reason: "190.0 steps/min, out for 8.0 s, band 191.0 to 199.0"})
			m.add(event.Cue{T: from + 0.7*(m.t-from), Name: event.CueSettled, Reason: "194.0 steps/min, within 192.0 to 198.0 for 5.0 s"})
		}
		m.add(event.Beat{T: m.t, Start: m.t})
		m.part(event.Part{N: 3 + 2*i, Role: event.RoleRecovery}, 0)
		m.walk(100, 150, 0.9)
	}
	m.add(event.Part{T: m.t})
	m.add(event.Mark{T: m.t, Name: event.MarkEnd})
	return m.events
}

func (m *maker) part(p event.Part, cadence float64) {
	p.T, p.Distance = m.t, m.tick*3.3
	m.add(p)
	t := event.Target{T: m.t, Cadence: cadence, Reason: "the part"}
	if cadence > 0 {
		t.Low, t.High = cadence-4, cadence+4
	}
	m.add(t)
}

// laps400 is a walk without a plan over n laps of 400 m.
func laps400(n int, seed uint64, cadence, length float64) []event.Event {
	m := newMaker(seed)
	m.add(event.Part{N: 1, Role: event.RoleFree})
	for range n {
		from := m.t
		m.walk(400, cadence*(1+0.006*m.r.NormFloat64()), length*(1+0.006*m.r.NormFloat64()))
		m.add(event.Mark{T: m.t, Name: event.MarkLap})
		m.add(event.Lap{T: m.t, Distance: 400, Time: m.t - from, StepLength: length})
	}
	m.walk(60, cadence, length)
	m.add(event.Mark{T: m.t, Name: event.MarkEnd})
	return m.events
}

func stepAt(t float64, heard bool) event.Event {
	return event.Step{Step: detect.Step{T: t, Heard: heard, Confidence: 1}}
}
