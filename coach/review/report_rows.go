package review

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/fade"
	"steadfoot/coach/measure"
	"steadfoot/detect"
)

// RowKind says what the rows of a report stand for.
type RowKind uint8

// The kinds.
const (
	ByPart  RowKind = iota // parts of the plan
	ByLap                  // laps, where there was no plan
	ByPiece                // pieces of some minutes, where no lap was marked either
)

// Row is what was walked in a part, a lap or a piece. A figure that cannot be said
// is 0 or nil.
type Row struct {
	Name     string
	Role     string  // of the part, as event.RoleRep
	From, To float64 // s
	Walking  float64 // of it, s
	// Distance is known from marks where Measured, and otherwise the coach's
	// estimate by the walker's usual step length, m.
	Distance float64
	Measured bool
	Pace     float64       // s/km; of the marks where Measured
	Cadence  float64       // mean over the time walked, or of the marks likewise, steps/min
	Length   measure.Value // step length by marks, m
	At       float64       // cadence over the steps that Length was measured on, steps/min
	In       *float64      // share of the time walked with a target that was in the band
	// Unevenness and Variability are as in Summary, %.
	Unevenness, Variability *float64
	Fade                    string // in a few words; "" where it was too short to look for one
	Cues                    int    // about the cadence
}

// rest tells whether the row is no work: a recovery, warm-up or cool-down.
func (r Row) rest() bool {
	return r.Role != event.RoleRep && r.Role != event.RoleDrill && r.Role != event.RoleFree
}

func (r *Report) rows(events []event.Event) {
	known := slices.DeleteFunc(Stretches(events), func(s Stretch) bool { return s.Distance == 0 })
	laps := r.laps(events)
	for _, l := range laps {
		r.lapTimes = append(r.lapTimes, l.to)
	}
	switch {
	case r.planned():
		r.By = ByPart
		for _, p := range r.Summary.Parts {
			r.Rows = append(r.Rows, r.partRow(p, known))
		}
	case len(laps) > 0:
		r.By = ByLap
		r.lapRows(laps, known)
	default:
		r.By = ByPiece
		r.pieces()
	}
}

// partRow is a part of the plan.
func (r *Report) partRow(p Part, laps []Stretch) Row {
	row := r.row(p.title(), p.Role, p.T, p.T+p.Time)
	if p.Walked > 0 {
		row.Distance = p.Walked
	}
	r.measure(&row, slices.DeleteFunc(slices.Clone(laps), func(s Stretch) bool { return s.Part != p.N }))
	for _, f := range r.Summary.Fade {
		if f.Scope == scopeOf(p.Part) {
			row.Fade = fadeWords(f.Fade)
		}
	}
	return row
}

// row is what was walked between two times.
func (r *Report) row(name, role string, from, to float64) Row {
	p := Part{Part: event.Part{T: from}, Time: to - from}
	p.walk(r.aims, r.walked)
	row := Row{Name: name, Role: role, From: from, To: to, Walking: p.Walking, Pace: p.Pace, Cadence: p.Cadence}
	if p.Pace > 0 {
		row.Distance = p.Walking / p.Pace * 1000
	}
	if b := bandOf(r.aims, within(r.walked, from, to)); b != nil && b.Aimed > leastAimed*p.Walking {
		row.In = &b.In
	}
	in := intervals(between(r.steps, from, to), r.Summary.Gaps)
	row.Unevenness, row.Variability = unevenness(in), variability(in)
	for _, c := range r.Summary.Cues {
		if (c.Name == event.CueQuicken || c.Name == event.CueEase) && c.T > from && c.T <= to {
			row.Cues++
		}
	}
	return row
}

// leastAimed is the share of the time walked that must have had a target for the
// time in the band to say anything: where a target ends, a little of it reaches
// into the next part.
const leastAimed = 0.1

// within is the time walked from one time to another.
func within(walked []span, from, to float64) []span {
	i := sort.Search(len(walked), func(i int) bool { return walked[i].T > from })
	k := sort.Search(len(walked), func(i int) bool { return walked[i].T > to })
	return walked[i:max(i, k)]
}

// between are the steps from one time to another.
func between(steps []detect.Step, from, to float64) []detect.Step {
	i := sort.Search(len(steps), func(i int) bool { return steps[i].T >= from })
	k := sort.Search(len(steps), func(i int) bool { return steps[i].T > to })
	return steps[i:max(i, k)]
}

// measure fills in what the marks of laps of known length within the row tell,
// which are in order.
func (r *Report) measure(row *Row, laps []Stretch) {
	var distance float64
	for i, s := range laps {
		if i > 0 && math.Abs(s.From-laps[i-1].To) > sameMark {
			return // with a hole between them
		}
		distance += s.Distance
	}
	if len(laps) == 0 {
		return
	}
	from, to := laps[0].From, laps[len(laps)-1].To
	if math.Abs(from-row.From) < 0.5 && math.Abs(to-row.To) < 0.5 {
		row.Distance, row.Measured, row.Pace = distance, true, (to-from)/distance*1000
	}
	if p, err := measure.Between(between(r.steps, from-around, to+around), from, to, distance, 0, MarkSD); err == nil {
		row.Length, row.At = p.Length(), p.Cadence().Value
		if row.Measured { // so that pace, cadence and length of the row are of one piece
			row.Cadence = row.At
		}
	}
}

// scopeOf is the name under which a fade within a part is told.
func scopeOf(p event.Part) string {
	if p.Set == 0 {
		return fmt.Sprintf("part %d", p.N)
	}
	return fmt.Sprintf("rep %d of set %d", p.Rep, p.Set)
}

// fadeWords is a fade in a few words, for a table.
func fadeWords(f fade.Fade) string {
	words := func(what string, d fade.Drop) string {
		return fmt.Sprintf("%s %+.1f %% from %s", what, 100*d.Change, clock(d.From))
	}
	switch f.First {
	case fade.LengthFirst:
		return words("length", f.Length)
	case fade.CadenceFirst:
		return words("cadence", f.Cadence)
	case fade.Unclear:
		return words("length", f.Length) + ", " + words("cadence", f.Cadence)
	}
	return "none shown"
}

// work is what the reps and drills of a plan came to together; ok is false when
// there is none.
func (r *Report) work() (all Row, ok bool) {
	if r.By != ByPart {
		return all, false
	}
	var steps, time float64
	for _, row := range r.Rows {
		if row.rest() || row.Role == event.RoleFree || row.Walking == 0 {
			continue
		}
		all.Walking += row.Walking
		steps += row.Walking / 60 * row.Cadence
		if row.Pace > 0 {
			all.Distance += row.Distance
			time += row.Distance / 1000 * row.Pace
		}
	}
	if all.Walking == 0 {
		return all, false
	}
	if all.Cadence = steps / all.Walking * 60; all.Distance > 0 {
		all.Pace = time / all.Distance * 1000
	}
	return all, true
}

// lengths tells whether any row has a step length by marks.
func (r *Report) lengths() bool {
	return slices.ContainsFunc(r.Rows, func(row Row) bool { return row.Length.Value > 0 })
}

// estimated tells whether any distance or pace rests on the step length of the
// walker's profile.
func (r *Report) estimated() bool {
	return slices.ContainsFunc(r.Rows, func(row Row) bool { return !row.Measured && row.Distance > 0 })
}

// paceIn is the pace of a target with the step length of the settings, s/km.
func (r *Report) paceIn(cadence float64) float64 {
	return coach.PaceOf(cadence, r.settings.StepLength.Length(cadence))
}
