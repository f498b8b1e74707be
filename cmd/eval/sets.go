package main

import (
	"math"
	"strings"

	"steadfoot/detect/score"
	"steadfoot/detect/score/aubio"
	"steadfoot/detect/score/trial"
)

// nobody tells whether a row is of recordings in which nobody walks.
func (r *row) nobody() bool { return strings.HasPrefix(r.group, trial.NobodyGroup) }

// made tells whether a row is of made walks.
func (r *row) made() bool { return !r.nobody() && !strings.HasPrefix(r.group, recorded) }

func (r *row) soft() bool { return strings.HasPrefix(r.group, trial.SoftGroup) }

// machine tells whether a row is of something that keeps a beat and may pass
// for a walk. Recordings are told by their names.
func (r *row) machine() bool {
	name := strings.ToLower(strings.TrimPrefix(r.group, trial.NobodyGroup))
	if !strings.HasPrefix(name, recorded) {
		return strings.HasPrefix(name, trial.MachineName)
	}
	for _, word := range []string{"drum", "hop", "beat", "loop", "music", "gallop", "sewing", "machine", "clock"} {
		if strings.Contains(name, word) {
			return true
		}
	}
	return false
}

func only(rows []*row, fits func(*row) bool) []*row {
	var some []*row
	for _, r := range rows {
		if fits(r) {
			some = append(some, r)
		}
	}
	return some
}

// begun are the rows whose group begins so.
func begun(rows []*row, prefix string) []*row {
	return only(rows, func(r *row) bool { return strings.HasPrefix(r.group, prefix) })
}

func named(rows []*row, group string) []*row {
	return only(rows, func(r *row) bool { return r.group == group })
}

// sum is the outcome on all recordings of rows.
func sum(rows []*row) (o trial.Outcome) {
	for _, r := range rows {
		o.Add(r.ours)
	}
	return o
}

// some is v, or NaN when nothing was measured.
func some(o trial.Outcome, v float64) float64 {
	if o.Seconds == 0 {
		return math.NaN()
	}
	return v
}

func f50(rows []*row) float64 { o := sum(rows); return some(o, o.At50.F()) }

func f25(rows []*row) float64 { o := sum(rows); return some(o, o.At25.F()) }

func halves(rows []*row) float64 {
	o := sum(rows)
	return some(o, float64(o.Cadence.Half+o.Cadence.Double+o.Readings.Half+o.Readings.Double))
}

// strict is the mean, infinite when there was an occasion without a value.
func strict(v score.Values) float64 {
	if v.None > 0 {
		return math.Inf(1)
	}
	return v.Mean()
}

// highest is the row with the greatest value, NaN without any.
func highest(rows []*row, of func(*row) float64) (value float64, group string) {
	value = math.NaN()
	for _, r := range rows {
		if v := of(r); !(v <= value) {
			value, group = v, r.group
		}
	}
	return value, group
}

// lowestF is the lowest F at 50 ms of the rows, NaN without any.
func lowestF(rows []*row) (f float64, group string) {
	f, group = highest(rows, func(r *row) float64 { return -r.ours.At50.F() })
	return -f, group
}

// bestMethod returns the aubio method with the highest F over all rows.
func bestMethod(rows []*row) string {
	best, top := "", -1.0
	for _, m := range aubio.Methods {
		if _, theirs := pooled(rows, m); theirs.TP > 0 && theirs.F() > top {
			best, top = m, theirs.F()
		}
	}
	return best
}

// pooled sums our pairs and those of an aubio method over rows.
func pooled(rows []*row, method string) (ours, theirs score.Result) {
	for _, r := range rows {
		ours.Add(r.ours.At50)
		if s := r.aubio[method]; s != nil {
			theirs.Add(*s)
		}
	}
	return ours, theirs
}
