package review

import (
	"fmt"
	"math"
	"slices"

	"steadfoot/coach/event"
)

// lap is what lies between two marks.
type lap struct {
	from, to float64 // s
	note     string
}

// laps are those that the coach took, which leaves out a key that was pressed twice;
// for a session from before it told them, the marks.
func (r *Report) laps(events []event.Event) []lap {
	var out []lap
	for _, e := range events {
		if l, ok := e.(event.Lap); ok {
			from := l.T - l.Time
			if n := len(out); n > 0 {
				from = min(from, out[n-1].to) // with a pause in it
			}
			out = append(out, lap{from: from, to: l.T})
		}
	}
	for _, m := range r.Summary.Laps {
		if i := slices.IndexFunc(out, func(l lap) bool { return math.Abs(l.to-m.T) < sameMark }); i >= 0 {
			out[i].note = m.Note
		}
	}
	if len(out) == 0 {
		for _, m := range r.Summary.Laps {
			out = append(out, lap{m.T - m.Length, m.T, m.Note})
		}
	}
	return out
}

// lapRows are the laps of a walk without a plan.
func (r *Report) lapRows(laps []lap, known []Stretch) {
	for i, l := range laps {
		name := fmt.Sprintf("lap %d", i+1)
		if l.note != "" {
			name += ", " + l.note
		}
		row := r.row(name, event.RoleFree, l.from, l.to)
		r.measure(&row, slices.DeleteFunc(slices.Clone(known), func(s Stretch) bool { return math.Abs(s.To-l.to) > sameMark }))
		r.Rows = append(r.Rows, row)
	}
	last := laps[len(laps)-1].to
	if row := r.row("after the last lap", event.RoleFree, last, r.Summary.Duration); row.Walking >= leastRest {
		r.Rows = append(r.Rows, row)
	}
}

// leastRest is how long must be walked after the last lap to make a row, s.
const leastRest = 10.0

// mostPieces is how many rows a walk without laps makes at most.
const mostPieces = 12

// pieces cuts the walk at round times.
func (r *Report) pieces() {
	if r.Summary.Walking == 0 {
		return
	}
	length := 3600.0
	for _, s := range []float64{60, 120, 300, 600, 900, 1800} {
		if r.Summary.Duration/s <= mostPieces {
			length = s
			break
		}
	}
	for from := 0.0; from < r.Summary.Duration; from += length {
		to := min(from+length, r.Summary.Duration)
		row := r.row(clock(from)+" to "+clock(to), event.RoleFree, from, to)
		if row.Walking > 0 {
			r.Rows = append(r.Rows, row)
		}
	}
}
