package coach

import "steadfoot/profiles"

// rampSlices is how finely a ramp is added up.
const rampSlices = 400

// planWalk walks one part at its targets.
type planWalk struct {
	part  profiles.PlanPart
	curve profiles.Curve
	free  float64 // steps/min; 0: not known
	lap   float64 // m; 0: no track
}

// at is the cadence and the pace at a place of the part.
func (w planWalk) at(x float64) (cadence, pace float64) {
	from, to, share := aimAt(w.part.Targets, x)
	if from.Free() && share == 0 {
		from.Cadence = w.free
	}
	if share == 0 {
		return PlanCadence(from, w.curve), PlanPace(from, w.curve)
	}
	mix := func(a, b float64) float64 {
		if a == 0 || b == 0 {
			return 0
		}
		return a + (b-a)*share
	}
	cadence = mix(PlanCadence(from, w.curve), PlanCadence(to, w.curve))
	if pace = PaceOf(cadence, w.curve.Length(cadence)); pace == 0 {
		pace = mix(from.Pace, to.Pace)
	}
	return cadence, pace
}

// split works the part out between two places.
func (w planWalk) split(from, to float64) PlanSplit {
	points := w.part.Targets
	var inner []float64 // where the target changes in between
	for _, p := range points {
		if p.At > from && p.At < to {
			inner = append(inner, p.At)
		}
	}
	var s PlanSplit
	if len(inner) == 0 {
		s = w.piece(from, to)
	} else {
		s = w.sum(append(append([]float64{from}, inner...), to))
	}
	s.Cadence[0], s.Pace[0] = w.at(from)
	s.Cadence[1], s.Pace[1] = s.Cadence[0], s.Pace[0]
	if len(points) > 1 {
		before := to * (1 - 1e-9) // on the near side of a jump
		s.Cadence[1], s.Pace[1] = w.at(before)
	}
	if w.lap > 0 && s.Pace[0] > 0 {
		s.LapTime = s.Pace[0] * w.lap / 1000
		s.LapSteps = s.LapTime * s.Cadence[0] / 60
	}
	return s
}

// sum adds up the pieces between places. What one of them cannot tell, the sum
// cannot.
func (w planWalk) sum(places []float64) (s PlanSplit) {
	timed, measured, counted := true, true, true
	for i := 1; i < len(places); i++ {
		p := w.split(places[i-1], places[i])
		p.Part = profiles.PlanPart{Role: w.part.Role}
		if w.part.Length > 0 {
			p.Part.Length = places[i] - places[i-1]
			p.At = places[i-1]
		} else {
			p.Part.Duration = places[i] - places[i-1]
			p.Start = places[i-1]
		}
		from, _, _ := aimAt(w.part.Targets, places[i-1])
		p.Part.Targets = []profiles.PlanPoint{{Target: from}}
		s.Pieces = append(s.Pieces, p)
		timed, measured, counted = timed && p.Time > 0, measured && p.Length > 0, counted && p.Steps > 0
		s.Time, s.Length, s.Steps = s.Time+p.Time, s.Length+p.Length, s.Steps+p.Steps
	}
	s.Time, s.Length, s.Steps = ifKnown(s.Time, timed), ifKnown(s.Length, measured), ifKnown(s.Steps, counted)
	return s
}

// piece adds up time, length and steps where the target does not jump.
func (w planWalk) piece(from, to float64) (s PlanSplit) {
	n := 1
	if len(w.part.Targets) > 1 {
		n = rampSlices
	}
	timed, measured, counted := true, true, true
	for i := range n {
		cadence, pace := w.at(from + (to-from)*(float64(i)+0.5)/float64(n))
		dt, dx := 0.0, 0.0
		if w.part.Length > 0 {
			dx = (to - from) / float64(n)
			dt, timed = dx*pace/1000, timed && pace > 0
		} else {
			dt = (to - from) / float64(n)
			measured = measured && pace > 0
			if pace > 0 {
				dx = dt / pace * 1000
			}
		}
		counted = counted && cadence > 0 && dt > 0
		s.Time, s.Length, s.Steps = s.Time+dt, s.Length+dx, s.Steps+dt*cadence/60
	}
	s.Time, s.Length, s.Steps = ifKnown(s.Time, timed), ifKnown(s.Length, measured), ifKnown(s.Steps, counted)
	return s
}

// ifKnown is 0 for what cannot be told.
func ifKnown(x float64, ok bool) float64 {
	if !ok {
		return 0
	}
	return x
}
