package main

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/coach/event"
	"steadfoot/coach/review/figure/sheet"
	"steadfoot/coach/sim"
)

// drawnWalker is the walker in the picture, by number in the population: the
// first responsive one who does not overreact.
const drawnWalker = 2

// drawWalker draws the cadence of one walker over the session, in the manners
// of the table: alone in every panel, and coached.
func drawWalker(path string) error {
	w := sim.Population(coachedSeed, drawnWalker+1)[drawnWalker]
	all := manners()
	alone, err := all[0].walk(w, coachedS)
	if err != nil {
		return err
	}
	var panels []*plot.Plot
	for _, m := range all[1:] {
		if m.name == "steady beat only" {
			continue
		}
		r, err := m.walk(w, coachedS)
		if err != nil {
			return err
		}
		p, err := walkerPlot(m.name, alone, r)
		if err != nil {
			return fmt.Errorf("picture of %s: %w", m.name, err)
		}
		panels = append(panels, p)
	}
	panels[0].Title.Text = key + "\n\n" + panels[0].Title.Text
	return savePlots(path, panels)
}

// key says what is drawn.
const key = "Grey: the band. Dashed: alone. Line: coached. Triangle: 'quicken'; cross: 'ease'; ring: 'settled'."

// savePlots draws plots one below the other.
func savePlots(path string, plots []*plot.Plot) error {
	const width, height = 9 * vg.Inch, 2.2 * vg.Inch
	column := make([][]*plot.Plot, len(plots))
	for i, p := range plots {
		column[i] = []*plot.Plot{p}
	}
	tiles := draw.Tiles{Rows: len(plots), Cols: 1, PadY: vg.Points(8), PadTop: vg.Points(6), PadBottom: vg.Points(6), PadLeft: vg.Points(6), PadRight: vg.Points(12)}
	return sheet.Save(path, width, height*vg.Length(len(plots)), func(c draw.Canvas) error {
		for i, row := range plot.Align(column, tiles, c) {
			plots[i].Draw(row[0])
		}
		return nil
	})
}

// walkerPlot draws one panel: the band, the walker alone and coached, and the
// cues as marks at the edge that they are about.
func walkerPlot(title string, alone, coached *sim.Result) (*plot.Plot, error) {
	g := plot.New()
	g.Title.Text = title
	g.X.Label.Text = "time (min)"
	g.Y.Label.Text = "cadence (steps/min)"
	g.X.Min, g.X.Max = 0, coachedS/60
	g.Y.Min, g.Y.Max = coached.Low-10, coached.High+10
	sans(g)
	band, err := plotter.NewPolygon(plotter.XYs{{X: 0, Y: coached.Low}, {X: coachedS / 60, Y: coached.Low}, {X: coachedS / 60, Y: coached.High}, {X: 0, Y: coached.High}})
	if err != nil {
		return nil, err
	}
	band.Color, band.LineStyle.Width = color.Gray{0xe4}, 0
	before, err := plotter.NewLine(cadenceXY(alone))
	if err != nil {
		return nil, err
	}
	before.Color, before.Dashes = color.RGBA{0xd5, 0x5e, 0x00, 0xff}, []vg.Length{vg.Points(3), vg.Points(2)}
	with, err := plotter.NewLine(cadenceXY(coached))
	if err != nil {
		return nil, err
	}
	with.Color, with.Width = color.RGBA{0x00, 0x72, 0xb2, 0xff}, vg.Points(1.2)
	g.Add(band, before, with)
	return g, addCues(g, coached)
}

// sans sets all type without serifs.
func sans(g *plot.Plot) {
	for _, s := range []*draw.TextStyle{&g.Title.TextStyle, &g.X.Label.TextStyle, &g.Y.Label.TextStyle, &g.X.Tick.Label, &g.Y.Tick.Label} {
		s.Font.Variant = "Sans"
	}
}

// addCues marks the cues that are about the cadence.
func addCues(g *plot.Plot, r *sim.Result) error {
	for _, kind := range []struct {
		name  string
		y     float64
		shape draw.GlyphDrawer
	}{
		{event.CueQuicken, r.Low - 4, draw.TriangleGlyph{}},
		{event.CueEase, r.High + 4, draw.CrossGlyph{}},
		{event.CueSettled, r.High + 6, draw.RingGlyph{}},
	} {
		var xy plotter.XYs
		for _, c := range r.Cues {
			if c.Name == kind.name {
				xy = append(xy, plotter.XY{X: c.T / 60, Y: kind.y})
			}
		}
		if len(xy) == 0 {
			continue
		}
		marks, err := plotter.NewScatter(xy)
		if err != nil {
			return err
		}
		marks.Shape, marks.Radius = kind.shape, vg.Points(3)
		g.Add(marks)
	}
	return nil
}

func cadenceXY(r *sim.Result) plotter.XYs {
	from, cadence := r.Cadence()
	xy := make(plotter.XYs, len(cadence))
	for i, c := range cadence {
		xy[i].X, xy[i].Y = (from+float64(i)/2)/60, c
	}
	return xy
}
