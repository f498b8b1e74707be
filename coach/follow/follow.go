// Package follow tells how a walker's feet meet the beat at the moment: by how
// much they come after it, and how closely they keep to that.
package follow

import (
	"math"

	"steadfoot/coach"
	"steadfoot/coach/review/circular"
	"steadfoot/detect"
)

const (
	over = 10.0 // s of steps that count
	most = 64   // steps; more than in that time
)

// Meter looks at the heard steps of the last ten seconds. Use one goroutine.
type Meter struct {
	beats *coach.BeatMap
	steps [most]met
	n     int // steps ever taken
}

type met struct{ t, phase, period float64 }

// New returns a meter of steps against the beat of a session.
func New(beats *coach.BeatMap) *Meter { return &Meter{beats: beats} }

// Step takes in a footfall. One that was not heard, or fell where there is no beat,
// does not count. Every step has its beat, given or not, whichever foot it is.
func (m *Meter) Step(s detect.Step) {
	p, ok := m.beats.At(s.T)
	if !s.Heard || !ok || p.Period == 0 {
		return
	}
	x := (s.T - p.Start) / p.Period
	m.steps[m.n%most] = met{t: s.T, phase: 2 * math.Pi * (x - math.Round(x)), period: p.Period}
	m.n++
}

// At returns the mean time of the steps after the beat, ms, by the circular mean of
// their phases, the mean resultant length R, 0 to 1, and how many steps they are
// of: those of the ten seconds before now. Without any all are 0.
func (m *Meter) At(now float64) (off, r float64, n int) {
	var phases [most]float64
	period := 0.0
	for _, s := range m.steps[:min(m.n, most)] {
		if s.t > now-over && s.t <= now {
			phases[n], period = s.phase, period+s.period
			n++
		}
	}
	if n == 0 {
		return 0, 0, 0
	}
	sum := circular.Of(phases[:n])
	return 1000 * sum.Mean / (2 * math.Pi) * period / float64(n), sum.R, n
}
