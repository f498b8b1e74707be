package coach

import (
	"fmt"

	"steadfoot/detect"
	"steadfoot/profiles"
)

// PlanCadence returns the cadence in steps/min that a target comes to with a step
// length; 0 when it is free, or a pace and the step length is not known.
func PlanCadence(t profiles.PlanTarget, c profiles.Curve) float64 {
	if t.Pace > 0 {
		return c.Cadence(t.Pace)
	}
	return t.Cadence
}

// PlanPace returns the pace in s/km that a target comes to with a step length; 0
// when it is free, or a cadence and the step length is not known.
func PlanPace(t profiles.PlanTarget, c profiles.Curve) float64 {
	if t.Pace > 0 {
		return t.Pace
	}
	return PaceOf(t.Cadence, c.Length(t.Cadence))
}

// PlanSplit is one part of a plan as it is when it is walked at its targets. What
// cannot be told is 0.
type PlanSplit struct {
	N     int // its place in the plan, from 1
	Part  profiles.PlanPart
	Start float64 // s after the session's start, by what can be told of the parts before
	At    float64 // m, likewise
	// Time, Length and Steps of this part, in s, m and steps.
	Time, Length, Steps float64
	// Cadence and Pace at its start and at its end, in steps/min and s/km.
	Cadence, Pace     [2]float64
	LapTime, LapSteps float64     // at its start; 0 without a track
	Pieces            []PlanSplit // along an effort plan, from point to point; Part then has one end and no pieces of its own
}

// PlanTotals adds up a plan. The sums hold what can be told; the numbers of parts
// that are missing from each say what cannot.
type PlanTotals struct {
	Parts, Reps         int     // reps and drills
	Time, Length, Steps float64 // s, m
	WorkTime            float64 // of reps and drills, s
	WorkLength          float64 // m
	Ready               int     // parts until somebody is ready: their time is open
	NoTime, NoLength    int     // parts with an end whose time, or length, cannot be told
	NoSteps             int     // likewise, without those until ready
}

// PlanSplits works a plan out for a step length, which may be unknown. Where the
// walker is free, it takes the cadence free in steps/min, 0 when nothing is to be
// assumed.
func PlanSplits(p *profiles.Plan, c profiles.Curve, free float64) ([]PlanSplit, PlanTotals) {
	var all []PlanSplit
	var sum PlanTotals
	for i, part := range p.Parts {
		w := planWalk{part: part, curve: c, free: free, lap: p.Lap}
		s := w.split(0, part.Length+part.Duration)
		s.N, s.Part, s.Start, s.At = i+1, part, sum.Time, sum.Length
		all = append(all, s)
		sum.add(s)
	}
	return all, sum
}

func (sum *PlanTotals) add(s PlanSplit) {
	sum.Parts++
	sum.Time += s.Time
	sum.Length += s.Length
	sum.Steps += s.Steps
	if s.Part.Works() {
		sum.Reps++
		sum.WorkTime += s.Time
		sum.WorkLength += s.Length
	}
	if s.Part.Ready {
		sum.Ready++
		return
	}
	for _, v := range []struct {
		x float64
		n *int
	}{{s.Time, &sum.NoTime}, {s.Length, &sum.NoLength}, {s.Steps, &sum.NoSteps}} {
		if v.x == 0 {
			*v.n++
		}
	}
}

// PlanNotes says what a walker with this step length must know before walking a
// plan, one sentence each; none is a plan without an obstacle.
func PlanNotes(p *profiles.Plan, c profiles.Curve) []string {
	var notes []string
	lengths, paces, lines := 0, 0, 0
	for i, part := range p.Parts {
		if part.Length > 0 {
			lengths++
		}
		for _, t := range part.Targets {
			cadence := PlanCadence(t.Target, c)
			switch {
			case t.Target.Pace > 0 && len(c) == 0:
				paces++
			case t.Target.Pace > 0 && !within(cadence, detect.Slowest, detect.Fastest):
				notes = append(notes, fmt.Sprintf("part %d: %s needs %.0f steps/min at this step length; only %v to %v are followed", i+1, t.Target.Said, cadence, detect.Slowest, detect.Fastest))
			}
		}
		for _, r := range part.Reminders {
			if r.Length != 0 {
				lines++
			}
		}
	}
	if len(c) > 0 {
		return notes
	}
	ends := "parts by distance end by a lap mark or the skip key"
	if p.Lap == 0 {
		ends = "parts by distance end by the skip key"
	}
	for _, n := range []struct {
		n    int
		text string
	}{
		{lengths, ends},
		{paces, "targets by pace have no cadence and no beat"},
		{lines, "reminders by distance are not said"},
	} {
		if n.n > 0 {
			notes = append(notes, fmt.Sprintf("no step length is known: %s (%d of them)", n.text, n.n))
		}
	}
	return notes
}
