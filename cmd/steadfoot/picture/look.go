package picture

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/detect"
)

// The colours are from the palette of Okabe and Ito (jfly.uni-koeln.de/color),
// which colour-blind eyes tell apart; shapes tell the steps apart without any
// colour.
var (
	blue       = color.RGBA{0x00, 0x72, 0xb2, 0xff}
	sky        = color.RGBA{0x56, 0xb4, 0xe9, 0xff}
	vermilion  = color.RGBA{0xd5, 0x5e, 0x00, 0xff}
	yellow     = color.RGBA{0xf0, 0xe4, 0x42, 0xff}
	night      = color.RGBA{0x00, 0x2b, 0x5c, 0xff}
	grey       = color.Gray{0xc8}
	gridColour = color.Gray{0xe2}
)

// stateColour is the ground of the time in which a state was told.
func stateColour(s detect.State) color.Color {
	switch s {
	case detect.Walking:
		return color.RGBA{0xd3, 0xe9, 0xf8, 0xff}
	case detect.CannotHear:
		return grey
	}
	return color.White
}

// heat goes from white over sky blue to night, darker the greater v, 0 to 1.
func heat(v float64) color.RGBA {
	stops := [...]color.RGBA{{0xff, 0xff, 0xff, 0xff}, sky, blue, night}
	at := min(max(v, 0), 1) * float64(len(stops)-1)
	k := min(int(at), len(stops)-2)
	u := at - float64(k)
	mix := func(a, b uint8) uint8 { return uint8(float64(a) + u*(float64(b)-float64(a)) + 0.5) }
	a, b := stops[k], stops[k+1]
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xff}
}

// mark is how a step looks: a circle for the left foot, a triangle for the
// right; filled when it was heard, hollow when it was bridged.
type mark struct {
	name   string
	right  bool
	heard  bool
	radius vg.Length
}

func markOf(s detect.Step, radius vg.Length) mark {
	return mark{right: s.Side == detect.Right, heard: s.Heard, radius: radius}
}

// marks are all there are, for the legend.
func marks(radius vg.Length) []mark {
	return []mark{
		{"left foot, heard", false, true, radius}, {"right foot, heard", true, true, radius},
		{"left foot, bridged", false, false, radius}, {"right foot, bridged", true, false, radius},
	}
}

// draw draws the mark with a black rim, so that it shows on any ground.
func (m mark) draw(c *draw.Canvas, at vg.Point) {
	shape, ink := draw.GlyphDrawer(draw.CircleGlyph{}), color.Color(yellow)
	if m.right {
		shape, ink = draw.PyramidGlyph{}, vermilion
	}
	if !m.heard {
		ink = color.White
	}
	c.DrawGlyph(draw.GlyphStyle{Color: color.Black, Radius: m.radius * 1.3, Shape: shape}, at)
	c.DrawGlyph(draw.GlyphStyle{Color: ink, Radius: m.radius, Shape: shape}, at)
}

// markPlot puts marks at places of a plot.
type markPlot struct {
	xys   plotter.XYs
	marks []mark
}

// Plot implements plot.Plotter. What lies outside is left out.
func (m markPlot) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for i, xy := range m.xys {
		if at := (vg.Point{X: x(xy.X), Y: y(xy.Y)}); c.Contains(at) {
			m.marks[i].draw(&c, at)
		}
	}
}
