package review

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/review/figure"
)

// Figure is a picture of a report, drawn once for wide paper and once for a
// narrow screen.
type Figure struct {
	Name  string // plain, for a file and for the id in a page
	Title string // in a few words
	Desc  string // what it shows, for who does not see it
	// Wide and Narrow draw the same; sizes in points.
	Wide, Narrow         figure.Drawing
	WideSize, NarrowSize [2]vg.Length
	Note                 string // under the picture; may be empty
}

// Sizes of the pictures, in points. The narrow ones are for a screen of about
// that many pixels.
var (
	wideCourse, narrowCourse = [2]vg.Length{700, 230}, [2]vg.Length{345, 230}
	widePlane, narrowPlane   = [2]vg.Length{560, 380}, [2]vg.Length{345, 330}
	wideRose, narrowRose     = [2]vg.Length{330, 260}, [2]vg.Length{345, 270}
)

// Columns of a line over time, each with the mean of what falls into it.
const wideColumns, narrowColumns = 500, 250

// Figures are the pictures of the report that have something to show.
func (r *Report) Figures() []Figure {
	var out []Figure
	for _, f := range []*Figure{r.cadenceFigure(), r.paceFigure(), r.planeFigure(), r.beatFigure(), r.evenFigure()} {
		if f != nil {
			out = append(out, *f)
		}
	}
	return out
}

// course makes both drawings of one, with a line called name besides those that it
// has; nil when it is empty.
func (r *Report) course(f Figure, k figure.Course, name string, samples func(span) float64) *Figure {
	k.Duration = r.Summary.Duration
	others := k.Lines
	draw := func(columns int) figure.Course {
		k := k
		k.Lines = append([]figure.Line{{Name: name, Points: bins(r.walked, k.Duration, columns, samples)}}, others...)
		return k
	}
	wide := draw(wideColumns)
	if wide.Empty() {
		return nil
	}
	f.Wide, f.Narrow, f.WideSize, f.NarrowSize = wide, draw(narrowColumns), wideCourse, narrowCourse
	return &f
}

func (r *Report) cadenceFigure() *Figure {
	s := r.Summary
	desc := fmt.Sprintf("Cadence over %s of session, %.1f steps/min on average", clock(s.Duration), s.CadenceMean)
	if s.Band != nil && s.Band.Aimed > 0 {
		desc += fmt.Sprintf("; %.0f %% of the time walked with a target was in the band, %.0f %% below and %.0f %% above", 100*s.Band.In, 100*s.Band.Below, 100*s.Band.Above)
	}
	k := figure.Course{Heading: "cadence (steps/min)", BandName: "target band", Least: 8,
		Band:  r.bands(func(low, high float64) (float64, float64) { return low, high }),
		Parts: r.segments(), Laps: r.lapTimes, Signs: r.signs()}
	return r.course(Figure{Name: "cadence", Title: "Cadence over time", Desc: desc + "."}, k, "", func(w span) float64 { return w.Cadence })
}

func (r *Report) paceFigure() *Figure {
	desc := fmt.Sprintf("Pace over %s of session, quick on top", clock(r.Summary.Duration))
	if r.Summary.Pace > 0 {
		desc += fmt.Sprintf("; %s min/km on average", coach.FormatPace(r.Summary.Pace))
	}
	k := figure.Course{Heading: "pace (min:s per km)", Pace: true, BandName: "target band", Least: 20,
		Band: r.bands(func(low, high float64) (float64, float64) {
			slow, quick := r.paceIn(low), r.paceIn(high)
			return quick, slow
		}),
		Parts: r.segments(), Laps: r.lapTimes, Signs: r.signs()}
	name, note := "", "Pace is cadence times the step length of the walker's profile."
	if marks := r.markedPaces(); len(marks) > 0 {
		k.Lines = []figure.Line{{Name: "by marks", Points: marks}}
		if name = "by the profile"; r.Summary.Pace > 0 {
			note = "By the profile, pace is cadence times the walker's usual step length; by marks, the time between two marks over the distance between them."
		} else {
			name, note = "", "By marks, pace is the time between two marks over the distance between them. A step length in the profile would give it all along."
		}
	}
	f := r.course(Figure{Name: "pace", Title: "Pace over time", Desc: desc + ".", Note: note}, k, name, func(w span) float64 {
		if w.pace > 0 {
			return w.pace
		}
		return math.NaN()
	})
	return f
}

// markedPaces are the paces of the rows that were measured by marks, each level from
// its beginning to its end.
func (r *Report) markedPaces() []figure.Spot {
	var out []figure.Spot
	for _, row := range r.Rows {
		if row.Measured {
			out = append(out, figure.Spot{T: row.From, Value: row.Pace}, figure.Spot{T: row.To, Value: row.Pace}, figure.Spot{T: row.To, Value: math.NaN()})
		}
	}
	return out
}

// evenFigure shows unevenness and variability, which the detector tells all
// along.
func (r *Report) evenFigure() *Figure {
	if r.Summary.Unevenness == nil && r.Summary.Variability == nil {
		return nil
	}
	told := func(f func(span) float64) func(span) float64 {
		return func(w span) float64 {
			if w.Variability == 0 { // not known yet
				return math.NaN()
			}
			return f(w)
		}
	}
	f := Figure{Name: "even", Title: "Evenness over time",
		Desc: "Size of the difference between left and right step times, and variability of stride time, both in per cent, over the session."}
	draw := func(columns int) figure.Course {
		return figure.Course{Heading: "per cent", Duration: r.Summary.Duration, Zero: true, Least: 4, Laps: r.lapTimes, Parts: r.segments(), Lines: []figure.Line{
			{Name: "unevenness, left against right", Points: bins(r.walked, r.Summary.Duration, columns, told(func(w span) float64 { return cmp.Or(math.Abs(w.Unevenness), math.NaN()) }))},
			{Name: "variability of stride time", Points: bins(r.walked, r.Summary.Duration, columns, told(func(w span) float64 { return w.Variability }))},
		}}
	}
	wide := draw(wideColumns / 2)
	if wide.Empty() {
		return nil
	}
	f.Wide, f.Narrow, f.WideSize, f.NarrowSize = wide, draw(narrowColumns/2), wideCourse, narrowCourse
	return &f
}

// bins averages samples over columns of the time axis, each a second at least.
// Where nobody walked the line is broken.
func bins(walked []span, duration float64, columns int, value func(span) float64) []figure.Spot {
	n := max(1, min(columns, int(duration)))
	means := make([]mean, n)
	for _, w := range walked {
		if v := value(w); !math.IsNaN(v) && duration > 0 {
			means[min(n-1, int(w.middle()/duration*float64(n)))].add(v)
		}
	}
	out := make([]figure.Spot, n)
	for i, m := range means {
		out[i] = figure.Spot{T: (float64(i) + 0.5) * duration / float64(n), Value: math.NaN()}
		if m.n > 0 {
			out[i].Value = m.value()
		}
	}
	return out
}

// bands are the targets over the session; to turns ends in steps/min into those
// of the axis. It may give 0 for what is not known.
func (r *Report) bands(to func(low, high float64) (float64, float64)) []figure.Strip {
	var out []figure.Strip
	for i, a := range r.aims {
		end := r.Summary.Duration
		if i+1 < len(r.aims) {
			end = min(end, r.aims[i+1].T)
		}
		low, high := to(a.Low, a.High)
		if a.Cadence == 0 || low <= 0 || high <= 0 || end <= a.T {
			continue
		}
		if n := len(out); n > 0 && out[n-1].To == a.T && out[n-1].Low == low && out[n-1].High == high {
			out[n-1].To = end
			continue
		}
		out = append(out, figure.Strip{From: a.T, To: end, Low: low, High: high})
	}
	return out
}

// segments are the parts of the plan.
func (r *Report) segments() []figure.Segment {
	if !r.planned() {
		return nil
	}
	var out []figure.Segment
	for _, p := range r.Summary.Parts {
		s := figure.Segment{From: p.T, To: p.T + p.Time, Label: p.title(), Rest: (Row{Role: p.Role}).rest()}
		if p.Rep > 0 && !s.Rest {
			s.Short = fmt.Sprint(p.Rep)
		}
		out = append(out, s)
	}
	return out
}

func (r *Report) signs() []figure.Sign {
	kinds := map[string]figure.SignKind{event.CueQuicken: figure.Quicken, event.CueEase: figure.Ease, event.CueSettled: figure.Settled, event.CueLost: figure.Other}
	var out []figure.Sign
	for _, c := range r.Summary.Cues {
		if k, ok := kinds[c.Name]; ok {
			out = append(out, figure.Sign{T: c.T, Kind: k})
		}
	}
	return out
}
