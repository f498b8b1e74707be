package review

import (
	"bufio"
	"encoding/json"
	"io"
	"math"
	"time"
)

// levelJSON is a level; its standard error is left out where it is not known.
type levelJSON struct {
	Value float64  `json:"value"`
	SE    *float64 `json:"se,omitempty"`
	Walks int      `json:"walks"`
}

type levelsJSON struct {
	StepLength *levelJSON `json:"step_length,omitempty"` // m
	Cadence    *levelJSON `json:"cadence,omitempty"`     // steps/min
	InBand     *levelJSON `json:"in_band,omitempty"`     // %
	Unevenness *levelJSON `json:"unevenness,omitempty"`  // %
}

type periodJSON struct {
	From    string  `json:"from"` // its first day
	Walks   int     `json:"walks"`
	Minutes float64 `json:"minutes"`
	Km      float64 `json:"km"`
	levelsJSON
}

// driftJSON is a line over time, in the unit of the measure per day.
type driftJSON struct {
	Slope float64 `json:"per_day"`
	Low   float64 `json:"low"` // 95 %
	High  float64 `json:"high"`
	Walks int     `json:"walks"`
}

type trendJSON struct {
	Kind    string       `json:"kind"` // "trend"
	Athlete string       `json:"athlete,omitempty"`
	From    time.Time    `json:"from"`
	To      time.Time    `json:"to"`
	Walks   int          `json:"walks"`
	Cadence float64      `json:"at_cadence,omitempty"` // at which step_length is told, steps/min
	Pace    float64      `json:"at_pace,omitempty"`    // at which cadence is told, s/km
	Months  []periodJSON `json:"months"`
	Weeks   []periodJSON `json:"weeks"`
	Lines   struct {
		StepLength *driftJSON `json:"step_length,omitempty"`
		Cadence    *driftJSON `json:"cadence,omitempty"`
		InBand     *driftJSON `json:"in_band,omitempty"`
		Unevenness *driftJSON `json:"unevenness,omitempty"`
	} `json:"lines"`
}

// TrendsJSON writes trends as JSON Lines, one athlete a line.
func TrendsJSON(w io.Writer, all []*Trend) error {
	b := bufio.NewWriter(w)
	enc := json.NewEncoder(b)
	for _, t := range all {
		j := trendJSON{Kind: "trend", Athlete: t.Athlete, From: t.Walks[0].Started, To: t.Walks[len(t.Walks)-1].Started, Walks: len(t.Walks),
			Cadence: t.Cadence, Pace: t.Pace, Months: periodsJSON(t.Months), Weeks: periodsJSON(t.Weeks)}
		for m, into := range map[Measure]**driftJSON{StepLength: &j.Lines.StepLength, CadenceAt: &j.Lines.Cadence, InBand: &j.Lines.InBand, Uneven: &j.Lines.Unevenness} {
			if d := t.Drifts[m]; d.Known {
				*into = &driftJSON{d.Slope, d.Low, d.High, d.N}
			}
		}
		if err := enc.Encode(j); err != nil {
			return err
		}
	}
	return b.Flush()
}

func periodsJSON(all []Period) []periodJSON {
	out := []periodJSON{}
	for _, p := range all {
		j := periodJSON{From: p.Start.Format(time.DateOnly), Walks: p.Walks, Minutes: p.Minutes, Km: p.Km}
		for m, into := range map[Measure]**levelJSON{StepLength: &j.StepLength, CadenceAt: &j.Cadence, InBand: &j.InBand, Uneven: &j.Unevenness} {
			l := p.Levels[m]
			if l.N == 0 {
				continue
			}
			*into = &levelJSON{Value: l.Value, Walks: l.N}
			if !math.IsNaN(l.SE) {
				(*into).SE = &l.SE
			}
		}
		out = append(out, j)
	}
	return out
}
