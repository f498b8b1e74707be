package review

import (
	"encoding/json"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// Report is a session made ready to be looked at: its figures, a row for each of
// its parts or laps, how the feet met the beat, and what pictures are drawn of.
type Report struct {
	Header  logbook.Header
	Info    logbook.Info
	Summary Summary
	Rows    []Row
	By      RowKind // what a row stands for
	Met     *Met    // nil: no beat was played, or no step was heard while it was

	settings coach.Settings // the zero value where they cannot be read
	aims     aims
	walked   []span
	steps    []detect.Step
	lapTimes []float64 // ends of the laps, s
}

// NewReport makes the report of the session with header h from its events, in the
// order in which they were stored.
func NewReport(h logbook.Header, info logbook.Info, events []event.Event) *Report {
	r := &Report{
		Header: h, Info: info, Summary: Analyse(h, events),
		aims: aimsOf(h, events), walked: spans(events), steps: Steps(events),
	}
	if json.Unmarshal(h.Settings, &r.settings) != nil {
		r.settings = coach.Settings{}
	}
	r.rows(events)
	r.Met = meet(r.settings, events, r.steps, r.Summary.Duration)
	return r
}

// planned tells whether the session had a plan: parts that are more than walking
// freely.
func (r *Report) planned() bool {
	for _, p := range r.Summary.Parts {
		if p.Role != event.RoleFree {
			return true
		}
	}
	return false
}
