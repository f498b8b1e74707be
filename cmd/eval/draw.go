package main

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/coach/review/figure/sheet"
)

const (
	pictureWidth  = 10 * vg.Inch
	pictureHeight = 4.2 * vg.Inch
)

// checkPicture tells whether a picture of this name can be drawn; "" is none.
func checkPicture(path string) error {
	if path == "" {
		return nil
	}
	return sheet.Check(path)
}

// drawPanels draws the panels side by side.
func drawPanels(path string, panels []panel) error {
	row := make([]*plot.Plot, len(panels))
	for i, p := range panels {
		var err error
		if row[i], err = p.plot(i == 0); err != nil {
			return err
		}
	}
	tiles := draw.Tiles{Rows: 1, Cols: len(panels), PadX: vg.Points(18), PadTop: vg.Points(8), PadBottom: vg.Points(8), PadLeft: vg.Points(8), PadRight: vg.Points(14)}
	return sheet.Save(path, pictureWidth, pictureHeight, func(c draw.Canvas) error {
		for i, at := range plot.Align([][]*plot.Plot{row}, tiles, c)[0] {
			row[i].Draw(at)
		}
		return nil
	})
}

// curves are the looks of the three curves. The colours are from the palette of
// Okabe and Ito (jfly.uni-koeln.de/color), which colour-blind eyes tell apart;
// dashes and marks tell the curves apart without any colour.
var curves = []struct {
	name  string
	color color.Color
	dash  []vg.Length
	mark  draw.GlyphDrawer
	of    func(panel) []float64
}{
	{"steadfoot, within 50 ms", color.RGBA{0x00, 0x72, 0xb2, 0xff}, nil, draw.CircleGlyph{}, func(p panel) []float64 { return p.f50 }},
	{"steadfoot, within 25 ms", color.Black, []vg.Length{6, 3}, draw.RingGlyph{}, func(p panel) []float64 { return p.f25 }},
	{"aubio's best method, within 50 ms", color.RGBA{0xd5, 0x5e, 0x00, 0xff}, []vg.Length{2, 3}, draw.PyramidGlyph{}, func(p panel) []float64 { return p.aubio }},
}

// plot draws one panel.
func (p panel) plot(legend bool) (*plot.Plot, error) {
	g := plot.New()
	g.Title.Text = "Steps found on " + p.title
	g.X.Label.Text = "level of the steps over the noise (dB)"
	g.Y.Label.Text = "F of the steps found (0 to 1)"
	// Noise grows to the right.
	g.X.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
	g.X.Tick.Marker = dBTicks(p.levels)
	g.X.Min, g.X.Max = p.levels[len(p.levels)-1], p.levels[0]
	g.Y.Min, g.Y.Max = 0, 1
	grid := plotter.NewGrid()
	grid.Horizontal.Color, grid.Vertical.Color = color.Gray{0xdd}, color.Gray{0xdd}
	g.Add(grid)
	for _, c := range curves {
		if c.of(p) == nil {
			continue
		}
		line, marks, err := plotter.NewLinePoints(p.points(c.of(p)))
		if err != nil {
			return nil, fmt.Errorf("picture of %s: %w", p.title, err)
		}
		line.Color, line.Width, line.Dashes = c.color, vg.Points(1.6), c.dash
		marks.Color, marks.Shape, marks.Radius = c.color, c.mark, vg.Points(3)
		g.Add(line, marks)
		if legend {
			g.Legend.Add(c.name, line, marks)
		}
	}
	if err := p.drawEnd(g); err != nil {
		return nil, err
	}
	g.Legend.Top = false
	g.Legend.Left = true
	g.Legend.XOffs, g.Legend.YOffs, g.Legend.Padding = vg.Points(6), vg.Points(6), vg.Points(3)
	for _, s := range []*draw.TextStyle{&g.Title.TextStyle, &g.X.Label.TextStyle, &g.Y.Label.TextStyle, &g.X.Tick.Label, &g.Y.Tick.Label, &g.Legend.TextStyle} {
		s.Font.Variant = "Sans"
	}
	return g, nil
}

// drawEnd marks where hearing ends.
func (p panel) drawEnd(g *plot.Plot) error {
	at, ok := p.end()
	if ok {
		line, err := plotter.NewLine(plotter.XYs{{X: at, Y: 0.3}, {X: at, Y: 1}})
		if err != nil {
			return fmt.Errorf("picture of %s: %w", p.title, err)
		}
		line.Color, line.Width, line.Dashes = color.Gray{0x55}, vg.Points(1), []vg.Length{1, 2}
		g.Add(line)
	}
	g.X.Label.Text += "\n" + p.ends()
	return nil
}

func (p panel) points(f []float64) plotter.XYs {
	xy := make(plotter.XYs, len(f))
	for i := range f {
		xy[i].X, xy[i].Y = p.levels[i], f[i]
	}
	return xy
}

// dBTicks marks every level.
func dBTicks(levels []float64) plot.ConstantTicks {
	var ticks plot.ConstantTicks
	for _, dB := range levels {
		label := fmt.Sprintf("%+g", dB)
		if dB == 0 {
			label = "0"
		}
		ticks = append(ticks, plot.Tick{Value: dB, Label: label})
	}
	return ticks
}
