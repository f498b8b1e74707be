package sim

import "math"

// Sync is how a walker goes with a beat: the phase is corrected without
// thinking, the period only with attention (Repp 2005).
type Sync struct {
	// Alpha is the share of an asynchrony that the next step makes good:
	// A[n+1] = (1-Alpha)·A[n] + noise, typically 0.2 to 0.8 (Repp 2005; Vorberg
	// and Wing; from memory). Short intervals give less than long ones (Repp,
	// Keller and Jacoby 2012). 0 is a walker who does not follow beats.
	Alpha float64
	// Beta is the share of the difference between the own period and the
	// beat's that a step makes good (Mates 1994, from memory). The value is the
	// project's choice.
	Beta float64
	// Lead is how long before the beat the foot comes down, s: taps lead by
	// 0.02 to 0.08 (Repp 2005, from memory), and footfalls lead too (Buhmann et
	// al. 2018).
	Lead float64
	// Reach is how far, %, the beat's period may be from the walker's own to be
	// joined, and kept. That there is such a limit is common observation; the
	// value is the project's choice.
	Reach float64
	// Drops is the chance that a lapse of attention ends the following, 0 to 1.
	// The project's choice.
	Drops float64
}

// The project's choices of what goes for all walkers.
const (
	away      = 0.5  // share of Alpha that is left without attention
	mostPhase = 0.10 // the most that one step changes for the phase, of its interval
	beatsHeld = 3    // beats heard before they are followed
	beatGoneS = 2.0  // without a beat for this long there is none, s
	farS      = 4.0  // beyond Reach for this long the beat is lost, s
	sulkS     = 15.0 // after losing it nobody tries again for this long, s
)

// follower goes with the beat, or does not.
type follower struct {
	Sync
	on      bool
	heard   int     // beats in a row
	last    float64 // time of the last beat, s
	period  float64 // of the beat, in s a step; 0: not known
	far     float64 // since when the beat has been out of reach, s; 0: it is not
	retry   float64 // no new attempt before this, s
	lost    int     // times it was lost for being out of reach
	started bool
}

// beat takes in a beat heard at t by a walker with steps of about own seconds.
func (f *follower) beat(t, own float64) {
	if !f.started || t-f.last > beatGoneS {
		f.heard, f.period = 0, 0
	} else if steps := math.Round((t - f.last) / own); steps >= 1 {
		f.period = (t - f.last) / steps
	}
	f.started, f.last = true, t
	f.heard++
}

// lapse is a lapse of attention; luck is from 0 to 1.
func (f *follower) lapse(luck float64) {
	if luck < f.Drops {
		f.on = false
	}
}

// see decides at t whether the walker follows, by the period they mean to walk.
func (f *follower) see(t, own float64, attentive bool) {
	if f.Alpha == 0 || f.heard < beatsHeld || f.period == 0 || t-f.last > beatGoneS {
		f.on, f.far = false, 0
		return
	}
	near := math.Abs(own/f.period-1) <= f.Reach/100
	switch {
	case near:
		f.far = 0
		f.on = f.on || attentive && t >= f.retry
	case f.on && f.far == 0:
		f.far = t
	case f.on && t-f.far > farS:
		f.on, f.far, f.retry = false, 0, t+sulkS
		f.lost++
	}
}

// correct returns what a step with asynchrony a, s, does to the next interval of
// about own seconds, relative, and what it does to the effort.
func (f *follower) correct(a, own float64, attentive bool) (phase, effort float64) {
	alpha := f.Alpha
	switch {
	case !attentive:
		alpha *= away
	case f.far == 0:
		effort = f.Beta * (own/f.period - 1)
	}
	off := math.Remainder(a+f.Lead, f.period) / own
	return -min(max(alpha*off, -mostPhase), mostPhase), effort
}
