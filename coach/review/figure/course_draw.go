package figure

import (
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// course draws what is within the axes.
type course struct {
	Course
	lo, hi float64
}

// Plot implements [plot.Plotter].
func (k course) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	k.grid(c, p, y)
	for _, b := range k.Band {
		x0, x1, y0, y1 := x(b.From), x(b.To), y(b.Low), y(b.High)
		c.FillPolygon(bandFill, []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
		c.StrokeLine2(bandEdge, x0, y0, x1, y0)
		c.StrokeLine2(bandEdge, x0, y1, x1, y1)
	}
	k.laps(c, x)
	k.parts(c, x)
	for i, l := range k.Lines {
		var run []vg.Point
		flush := func() {
			if len(run) == 1 {
				c.DrawGlyph(draw.GlyphStyle{Color: lineLooks[i%len(lineLooks)].Color, Radius: 1.5, Shape: draw.CircleGlyph{}}, run[0])
			}
			c.StrokeLines(lineLooks[i%len(lineLooks)], run)
			run = nil
		}
		for _, s := range l.Points {
			if math.IsNaN(s.Value) {
				flush()
				continue
			}
			run = append(run, vg.Point{X: x(s.T), Y: y(s.Value)})
		}
		flush()
	}
	for _, s := range k.Signs {
		c.DrawGlyph(signs[s.Kind].style, vg.Point{X: x(s.T), Y: c.Min.Y + stripHeight/2})
	}
}

func (k course) grid(c draw.Canvas, p *plot.Plot, y func(float64) vg.Length) {
	st := draw.LineStyle{Color: faint(Grey, 0x50), Width: 0.5}
	for _, t := range p.Y.Tick.Marker.Ticks(k.lo, k.hi) {
		c.StrokeLine2(st, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
}

// laps draws the marks and as many of their numbers as fit.
func (k course) laps(c draw.Canvas, x func(float64) vg.Length) {
	small := letters(8, Soft)
	small.XAlign, small.YAlign = text.XRight, text.YBottom
	free := c.Min.X
	for i, t := range k.Laps {
		at := x(t)
		c.StrokeLine2(lapLine, at, c.Min.Y, at, c.Max.Y)
		number := strconv.Itoa(i + 1)
		if w := small.Width(number) + 3; at-w >= free && !k.signNear(t) {
			c.FillText(small, vg.Point{X: at - 2, Y: c.Min.Y + 2}, number)
			free = at
		}
	}
}

// signNear tells whether a sign is drawn where the number of a lap would be.
func (k course) signNear(t float64) bool {
	for _, s := range k.Signs {
		if d := t - s.T; d > -0.01*k.Duration && d < 0.03*k.Duration {
			return true
		}
	}
	return false
}

// parts draws the parts of the session along the upper edge, each with as much of
// its name as fits.
func (k course) parts(c draw.Canvas, x func(float64) vg.Length) {
	small := letters(8, color.Black)
	small.XAlign, small.YAlign = text.XCenter, text.YCenter
	y0, y1 := c.Max.Y-stripHeight+3, c.Max.Y
	for _, s := range k.Parts {
		x0, x1 := x(s.From), x(s.To)
		fill := faint(Grey, 0x60)
		if s.Rest {
			fill = faint(Grey, 0x20)
		}
		gap := min(0.5, (x1-x0)/8) // so that neighbours are told apart
		c.FillPolygon(fill, []vg.Point{{X: x0 + gap, Y: y0}, {X: x1 - gap, Y: y0}, {X: x1 - gap, Y: y1}, {X: x0 + gap, Y: y1}})
		for _, words := range []string{s.Label, s.Short} {
			if words != "" && small.Width(words)+4 <= x1-x0 {
				c.FillText(small, vg.Point{X: (x0 + x1) / 2, Y: (y0 + y1) / 2}, words)
				break
			}
		}
	}
}
