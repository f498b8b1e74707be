package race

import (
	"math"

	"steadfoot/coach"
)

// Grid is the pace for cadences (columns) and step lengths (rows) around a goal.
type Grid struct {
	Cadences []float64   // steps/min, rising
	Lengths  []float64   // m, rising
	Pace     [][]float64 // s/km, by row and column
	// Goal is the row and column nearest to the goal; Own tells for each cell
	// whether the walker's own step length at that cadence is in it.
	Goal [2]int
	Own  [][]bool
}

// NewGrid lays rows and columns around the goal, in steps of length m and
// cadence steps/min, of round numbers.
func (g Goal) NewGrid(rows, columns int, length, cadence float64) Grid {
	var gr Grid
	gr.Cadences = around(g.Cadence, columns, cadence)
	gr.Lengths = around(g.StepLength, rows, length)
	gr.Goal = [2]int{nearest(gr.Lengths, g.StepLength), nearest(gr.Cadences, g.Cadence)}
	for _, l := range gr.Lengths {
		pace, own := make([]float64, columns), make([]bool, columns)
		for j, c := range gr.Cadences {
			pace[j] = coach.PaceOf(c, l)
			own[j] = len(g.Curve) > 0 && math.Abs(g.Curve.Length(c)-l) <= length/2
		}
		gr.Pace, gr.Own = append(gr.Pace, pace), append(gr.Own, own)
	}
	return gr
}

// around returns n multiples of step with the one nearest to x in the middle.
func around(x float64, n int, step float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = (math.Round(x/step) + float64(i-n/2)) * step
	}
	return out
}

func nearest(list []float64, x float64) int {
	best := 0
	for i, v := range list {
		if math.Abs(v-x) < math.Abs(list[best]-x) {
			best = i
		}
	}
	return best
}
