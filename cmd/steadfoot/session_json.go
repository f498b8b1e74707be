package main

import (
	"encoding/json"
	"io"

	"steadfoot/coach"
	"steadfoot/profiles"
)

func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// printSessionJSON writes a line for the plan, one for each part, and the totals.
func printSessionJSON(w io.Writer, p *profiles.Plan, splits []coach.PlanSplit, sum coach.PlanTotals, notes []string) error {
	if err := writeJSON(w, struct {
		Kind string  `json:"kind"`
		Name string  `json:"name"`
		Note string  `json:"note,omitempty"`
		Lane int     `json:"lane,omitempty"`
		Lap  float64 `json:"lap,omitempty"`
		Race float64 `json:"race,omitempty"`
	}{"plan", p.Name, p.Note, p.Lane, p.Lap, p.Race}); err != nil {
		return err
	}
	for _, s := range splits {
		line := struct {
			Kind  string  `json:"kind"`
			N     int     `json:"n"`
			Start float64 `json:"start"`
			profiles.PlanPart
			Distance   float64 `json:"way,omitempty"`
			Time       float64 `json:"time,omitempty"`
			Steps      float64 `json:"steps,omitempty"`
			Cadence    float64 `json:"cadence,omitempty"`
			CadenceEnd float64 `json:"cadence_end,omitempty"`
			Pace       float64 `json:"pace,omitempty"`
			PaceEnd    float64 `json:"pace_end,omitempty"`
			LapTime    float64 `json:"lap_time,omitempty"`
			LapSteps   float64 `json:"lap_steps,omitempty"`
		}{"part", s.N, s.Start, s.Part, s.Length, s.Time, s.Steps, s.Cadence[0], s.Cadence[1], s.Pace[0], s.Pace[1], s.LapTime, s.LapSteps}
		if err := writeJSON(w, line); err != nil {
			return err
		}
	}
	return writeJSON(w, struct {
		Kind     string   `json:"kind"`
		Parts    int      `json:"parts"`
		Reps     int      `json:"reps"`
		Time     float64  `json:"time"`
		Way      float64  `json:"way"`
		Steps    float64  `json:"steps"`
		WorkTime float64  `json:"work_time"`
		WorkWay  float64  `json:"work_way"`
		Ready    int      `json:"until_ready"`
		NoTime   int      `json:"without_time"`
		NoWay    int      `json:"without_way"`
		NoSteps  int      `json:"without_steps"`
		Notes    []string `json:"notes,omitempty"`
	}{"total", sum.Parts, sum.Reps, sum.Time, sum.Length, sum.Steps, sum.WorkTime, sum.WorkLength, sum.Ready, sum.NoTime, sum.NoLength, sum.NoSteps, notes})
}
