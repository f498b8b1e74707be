package picture

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/detect"
)

// newPanel is a plot of the recorded time.
func (r *Recorder) newPanel(y string, lowest, highest float64) *plot.Plot {
	p := plot.New()
	p.Y.Label.Text = y
	p.X.Min, p.X.Max = r.from, r.end()
	p.Y.Min, p.Y.Max = lowest, highest
	p.X.Tick.Marker = timeTicks{}
	for _, s := range []*draw.TextStyle{&p.Title.TextStyle, &p.X.Label.TextStyle, &p.Y.Label.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label} {
		s.Font.Variant = "Sans"
		s.Font.Size = vg.Points(10)
	}
	return p
}

func grid(p *plot.Plot) {
	g := plotter.NewGrid()
	g.Horizontal.Color, g.Vertical.Color = gridColour, gridColour
	p.Add(g)
}

// end is the end of the recorded time, s.
func (r *Recorder) end() float64 { return max(r.last, r.from+0.1) }

// walkingPanel shows the belief that somebody walks, on the state that was told.
func (r *Recorder) walkingPanel() (*plot.Plot, error) {
	p := r.newPanel("chance of\nwalking (%)", 0, 100)
	p.Add(statePlot{r})
	grid(p)
	line, err := plotter.NewLine(r.walking.points(r.from, 100))
	if err != nil {
		return nil, fmt.Errorf("picture: belief that somebody walks: %w", err)
	}
	line.Color, line.Width = blue, vg.Points(1.4)
	p.Add(line)
	p.HideX()
	p.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 50, Label: "50"}, {Value: 100, Label: "100"}}
	return p, nil
}

// evidencePanel shows the evidence, with the steps on it while there are few.
func (r *Recorder) evidencePanel() (*plot.Plot, error) {
	xys := r.evidence.points(r.from, 1)
	most := 1.0
	for _, xy := range xys {
		most = max(most, xy.Y)
	}
	p := r.newPanel("evidence of a step\n(times the usual rise)", 0, 1.12*most)
	p.HideX()
	grid(p)
	line, err := plotter.NewLine(xys)
	if err != nil {
		return nil, fmt.Errorf("picture: evidence: %w", err)
	}
	line.Color, line.Width = color.Gray{0x30}, vg.Points(0.7)
	if !r.few() { // the peaks are too near for lines
		line.Color, line.Width = color.Gray{0x70}, vg.Points(0.3)
	}
	line.FillColor = color.Gray{0xb8}
	p.Add(line)
	if r.few() {
		m := markPlot{}
		for _, s := range r.steps {
			m.xys = append(m.xys, plotter.XY{X: s.T, Y: r.evidenceNear(s)})
			m.marks = append(m.marks, markOf(s, r.markRadius()))
		}
		p.Add(m)
	}
	return p, nil
}

// evidenceNear is the height at which a step is marked: that of the evidence
// around it, or the ground where it was not heard.
func (r *Recorder) evidenceNear(s detect.Step) float64 {
	if !s.Heard {
		return 0
	}
	const before, after = 0.010, 0.060 // s: the evidence peaks after first contact
	var most float64
	for k := int((s.T - before - r.from) / r.evidence.width); k <= int((s.T+after-r.from)/r.evidence.width); k++ {
		if v := r.evidence.at(k); v != nil {
			most = max(most, v[0])
		}
	}
	return most
}

// cadencePanel shows how likely each cadence is, with the steps on it at the
// cadence that each makes with the one before.
func (r *Recorder) cadencePanel() *plot.Plot {
	p := r.newPanel("cadence (steps/min)", slowestShown, fastestShown)
	p.Add(plotter.NewImage(r.heatMap(), r.from, slowestShown, r.from+float64(len(r.belief.n))*r.belief.width, fastestShown))
	grid(p)
	m := markPlot{}
	for i, s := range r.steps {
		if c := r.cadenceOf(i); !math.IsNaN(c) {
			m.xys = append(m.xys, plotter.XY{X: s.T, Y: c})
			m.marks = append(m.marks, markOf(s, r.markRadius()))
		}
	}
	p.Add(m)
	p.X.Label.Text = "time (s)"
	if r.end()-r.from > minuteTicksFrom {
		p.X.Label.Text = "time (min:s)"
	}
	p.Y.Tick.Marker = everyTwenty{}
	return p
}

// few tells whether there are so few steps that each can be seen.
func (r *Recorder) few() bool { return len(r.steps) <= 130 }

func (r *Recorder) markRadius() vg.Length {
	switch n := len(r.steps); {
	case n <= 60:
		return vg.Points(3.2)
	case n <= 130:
		return vg.Points(2.3)
	case n <= 600:
		return vg.Points(1.3)
	}
	return vg.Points(0.6)
}

// most is the greatest belief in any cadence, a share for each step/min.
func (r *Recorder) most() float64 {
	most := 1e-9
	for _, v := range r.belief.value {
		most = max(most, v)
	}
	return most
}

// heatMap is a pixel for every column and step/min. The root of the belief is
// drawn, so that faint ones are seen.
func (r *Recorder) heatMap() image.Image {
	rows, most := r.belief.size, r.most()
	img := image.NewRGBA(image.Rect(0, 0, max(1, len(r.belief.n)), rows))
	var v []float64
	for k := range len(r.belief.n) {
		if now := r.belief.at(k); now != nil { // else nobody looked: as it was
			v = now
		}
		for i := range rows {
			c := color.RGBA{0xff, 0xff, 0xff, 0xff}
			if v != nil {
				c = heat(math.Sqrt(v[i] / most))
			}
			img.SetRGBA(k, rows-1-i, c)
		}
	}
	return img
}

// points are the first values of the columns over time, times by.
func (c *columns) points(from, by float64) plotter.XYs {
	var xys plotter.XYs
	for k := range c.n {
		if v := c.at(k); v != nil {
			xys = append(xys, plotter.XY{X: from + (float64(k)+0.5)*c.width, Y: by * v[0]})
		}
	}
	if len(xys) == 0 {
		xys = plotter.XYs{{X: from}}
	}
	return xys
}

// statePlot paints the ground by the state told.
type statePlot struct{ r *Recorder }

// Plot implements plot.Plotter.
func (s statePlot) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	state := &s.r.state
	for k := 0; k < len(state.n); {
		v, first := state.at(k), k
		for k++; k < len(state.n) && same(state.at(k), v); k++ {
		}
		if v == nil {
			continue
		}
		lo, hi := s.r.from+float64(first)*state.width, min(s.r.from+float64(k)*state.width, p.X.Max)
		c.SetColor(stateColour(detect.State(v[0])))
		c.Fill(vg.Rectangle{Min: vg.Point{X: x(lo), Y: c.Min.Y}, Max: vg.Point{X: x(hi), Y: c.Max.Y}}.Path())
	}
}

func same(a, b []float64) bool {
	if a == nil || b == nil {
		return a == nil && b == nil
	}
	return a[0] == b[0]
}
