package review

import (
	"fmt"
	"math"

	"steadfoot/coach/review/figure"
	"steadfoot/coach/units"
)

// leastThirds is how many points are told apart by when they were walked.
const leastThirds = 6

// planeFigure shows the rows whose step length is known from marks; nil when there
// are none.
func (r *Report) planeFigure() *Figure {
	var points []figure.Point
	for _, row := range r.Rows {
		if row.Length.Value > 0 && !row.rest() {
			points = append(points, figure.Point{Cadence: row.At, Length: row.Length.Value})
		}
	}
	if len(points) == 0 {
		return nil
	}
	what := map[RowKind]string{ByPart: "reps", ByLap: "laps", ByPiece: "pieces"}[r.By]
	p := figure.Plane{Units: units.Metric, Own: r.settings.StepLength, Series: thirds(points, what)}
	p.Cadence, p.Length = room(points)
	first, last := points[0], points[len(points)-1]
	f := Figure{Name: "plane", Title: "Step length and cadence",
		Desc: fmt.Sprintf("%d %s as points of cadence and step length on lines of equal pace, from %.1f steps/min and %.3f m in the first to %.1f steps/min and %.3f m in the last.",
			len(points), what, first.Cadence, first.Length, last.Cadence, last.Length),
		WideSize: widePlane, NarrowSize: narrowPlane}
	f.Wide, f.Narrow = p, p
	f.Note = fmt.Sprintf("Step length is the marked distance over the steps in it, with a standard error of about %s. Grey lines are equal pace.", r.lengthError())
	return &f
}

// lengthError is the largest standard error of the step lengths, in words.
func (r *Report) lengthError() string {
	sd := 0.0
	for _, row := range r.Rows {
		sd = max(sd, row.Length.SD)
	}
	return fmt.Sprintf("%.1f cm or less", math.Ceil(sd*1000)/10)
}

// thirds splits many points by when they were walked, so that a fade is seen.
func thirds(points []figure.Point, what string) []figure.Series {
	n := len(points)
	if n < leastThirds {
		return []figure.Series{{Name: what, Points: points}}
	}
	return []figure.Series{
		{Name: "first third of the " + what, Points: points[:n/3]},
		{Name: "middle third", Points: points[n/3 : n-n/3]},
		{Name: "last third", Points: points[n-n/3:]},
	}
}

// room is the part of the plane that holds the points, with space around them.
func room(points []figure.Point) (cadence, length [2]float64) {
	cadence, length = [2]float64{math.Inf(1), math.Inf(-1)}, [2]float64{math.Inf(1), math.Inf(-1)}
	for _, p := range points {
		cadence[0], cadence[1] = min(cadence[0], p.Cadence), max(cadence[1], p.Cadence)
		length[0], length[1] = min(length[0], p.Length), max(length[1], p.Length)
	}
	cs, ls := max(cadence[1]-cadence[0], 8), max(length[1]-length[0], 0.05)
	cadence[0], cadence[1] = (cadence[0]+cadence[1]-cs)/2-0.3*cs, (cadence[0]+cadence[1]+cs)/2+0.3*cs
	length[0], length[1] = (length[0]+length[1]-ls)/2-0.3*ls, (length[0]+length[1]+ls)/2+0.3*ls
	return cadence, length
}
