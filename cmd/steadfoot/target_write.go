package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"strconv"

	"gonum.org/v1/plot/vg"

	"steadfoot/coach/review/figure"
	"steadfoot/coach/review/figure/sheet"
)

// targetJSON is the answer for machines.
type targetJSON struct {
	Kind       string  `json:"kind"`                       // "target"
	Pace       float64 `json:"pace"`                       // s/km
	Cadence    float64 `json:"cadence"`                    // steps/min
	StepLength float64 `json:"step_length"`                // m
	Speed      float64 `json:"speed"`                      // m/s
	Lap        float64 `json:"lap"`                        // m
	LapTime    float64 `json:"lap_time"`                   // s
	LapSteps   float64 `json:"steps_per_lap"`              //
	Distance   float64 `json:"distance,omitempty"`         // m
	Time       float64 `json:"time,omitempty"`             // s
	Steps      float64 `json:"steps_total,omitempty"`      // to the nearest whole one
	Cover      float64 `json:"steps_to_cover,omitempty"`   // the whole steps it takes to cover the distance
	Centimetre *worth  `json:"one_cm_longer,omitempty"`    //
	Step       *worth  `json:"one_step_quicker,omitempty"` // one step/min more
	Splits     []split `json:"splits,omitempty"`
	Grid       grid    `json:"grid"`
}

type worth struct {
	Seconds float64 `json:"seconds"` // gained over the distance
	Metres  float64 `json:"metres"`  // farther in the same time
}

type split struct {
	At      float64 `json:"at"`      // m
	Time    float64 `json:"time"`    // s
	Split   float64 `json:"split"`   // s
	Pace    float64 `json:"pace"`    // s/km
	Steps   float64 `json:"steps"`   // in this part
	Cadence float64 `json:"cadence"` // steps/min
}

type grid struct {
	Cadences []float64   `json:"cadence"`     // columns, steps/min
	Lengths  []float64   `json:"step_length"` // rows, m
	Pace     [][]float64 `json:"pace"`        // s/km
}

func (o *targetRequest) writeJSON(w io.Writer) error {
	g := o.goal
	out := targetJSON{Kind: "target", Pace: g.Pace, Cadence: g.Cadence, StepLength: g.StepLength, Speed: g.Speed(),
		Lap: g.Lap, LapTime: g.LapTime(), LapSteps: g.LapSteps()}
	if g.Distance > 0 {
		out.Distance, out.Time = g.Distance, g.Time()
		out.Steps, out.Cover = math.Round(g.Steps()), math.Ceil(g.Steps()-1e-9)
		cm, step := worth(g.LengthWorth(0.01)), worth(g.CadenceWorth(1))
		out.Centimetre, out.Step = &cm, &step
		splits, err := g.Splits(o.step, o.second)
		if err != nil {
			return err
		}
		for _, s := range splits {
			out.Splits = append(out.Splits, split{s.At, s.Time, s.Part, s.Part / s.Length * 1000, s.Steps, s.Cadence})
		}
	}
	gr := o.grid()
	out.Grid = grid{gr.Cadences, gr.Lengths, gr.Pace}
	return json.NewEncoder(w).Encode(out)
}

// writeCSV writes the splits as RFC 4180 has it, in metric units.
func (o *targetRequest) writeCSV(std stdio) (err error) {
	splits, err := o.goal.Splits(o.step, o.second)
	if err != nil {
		return err
	}
	var w io.Writer = std.out
	if o.csv != "-" {
		f, err := os.Create(o.csv)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, f.Close()) }()
		w = f
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	c.Write([]string{"at_m", "time_s", "split_s", "pace_s_per_km", "steps", "cadence_steps_per_min"})
	for _, s := range splits {
		row := []string{}
		for _, v := range []float64{s.At, s.Time, s.Part, s.Part / s.Length * 1000, s.Steps, s.Cadence} {
			row = append(row, strconv.FormatFloat(v, 'f', 3, 64))
		}
		c.Write(row)
	}
	c.Flush()
	return c.Error()
}

// draw writes the picture: 10 % around the goal, or as far as the walker's own
// figures go.
func (o *targetRequest) draw() error {
	if err := sheet.Check(o.picture); err != nil {
		return usagef("--picture: %v", err)
	}
	g := o.goal
	pl := figure.Plane{
		Title: "Pace " + o.system.Pace(g.Pace) + ": cadence and step length that make it", Units: o.system, Own: g.Curve,
		Cadence: [2]float64{0.92 * g.Cadence, 1.08 * g.Cadence},
		Length:  [2]float64{0.92 * g.StepLength, 1.08 * g.StepLength},
		Series:  []figure.Series{{Name: "the goal", Points: []figure.Point{{Cadence: g.Cadence, Length: g.StepLength}}}},
	}
	for _, p := range g.Curve {
		if len(g.Curve) > 1 {
			pl.Cadence = [2]float64{min(pl.Cadence[0], p.Cadence-2), max(pl.Cadence[1], p.Cadence+2)}
		}
		pl.Length = [2]float64{min(pl.Length[0], p.Length-0.02), max(pl.Length[1], p.Length+0.02)}
	}
	p, err := pl.Plot()
	if err != nil {
		return err
	}
	return figure.Save(o.picture, p, 7*vg.Inch, 5*vg.Inch)
}
