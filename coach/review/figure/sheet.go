package figure

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Soft is the colour of small print.
var Soft = color.RGBA{0x55, 0x55, 0x55, 0xff}

// letters is plain text of a size in points.
func letters(size float64, c color.Color) text.Style {
	s := text.Style{Color: c, Font: font.From(plot.DefaultFont, vg.Length(size)), Handler: plot.DefaultTextHandler}
	s.Font.Variant = "Sans"
	return s
}

// faint is a colour that others show through, alpha 0 to 255.
func faint(c color.RGBA, alpha uint8) color.Color { return color.NRGBA{c.R, c.G, c.B, alpha} }

// key is one entry of a legend: a sample and what it stands for.
type key struct {
	name string
	draw func(c *draw.Canvas, at vg.Point) // around a point, in keyWidth by keyHeight
}

const (
	keyWidth  vg.Length = 16
	keyHeight vg.Length = 10
	rowHeight vg.Length = 15
)

// top writes a heading and a legend in rows across the upper edge of c and
// returns what is left below. Nothing is drawn over the data.
func top(c draw.Canvas, heading string, keys []key) draw.Canvas {
	head, small := letters(11, color.Black), letters(9, Soft)
	head.YAlign, small.YAlign = text.YCenter, text.YCenter
	x, y := c.Min.X+2, c.Max.Y-rowHeight/2
	c.FillText(head, vg.Point{X: x, Y: y}, heading)
	x += head.Width(heading) + 16
	for _, k := range keys {
		w := keyWidth + 4 + small.Width(k.name) + 12
		if x+w > c.Max.X && x > c.Min.X+2 {
			x, y = c.Min.X+2, y-rowHeight
		}
		k.draw(&c, vg.Point{X: x + keyWidth/2, Y: y})
		c.FillText(small, vg.Point{X: x + keyWidth + 4, Y: y}, k.name)
		x += w
	}
	return draw.Crop(c, 0, 0, 0, y-rowHeight/2-4-c.Max.Y)
}

// lineKey shows a line.
func lineKey(name string, st draw.LineStyle) key {
	return key{name, func(c *draw.Canvas, at vg.Point) {
		c.StrokeLine2(st, at.X-keyWidth/2, at.Y, at.X+keyWidth/2, at.Y)
	}}
}

// areaKey shows an area with its edges.
func areaKey(name string, fill color.Color, edge draw.LineStyle) key {
	return key{name, func(c *draw.Canvas, at vg.Point) {
		x0, x1, y0, y1 := at.X-keyWidth/2, at.X+keyWidth/2, at.Y-keyHeight/2, at.Y+keyHeight/2
		c.FillPolygon(fill, []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
		c.StrokeLine2(edge, x0, y0, x1, y0)
		c.StrokeLine2(edge, x0, y1, x1, y1)
	}}
}

// glyphKey shows a sign.
func glyphKey(name string, g draw.GlyphStyle) key {
	return key{name, func(c *draw.Canvas, at vg.Point) { c.DrawGlyph(g, at) }}
}

// downGlyph is a filled triangle that points down.
type downGlyph struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (downGlyph) DrawGlyph(c *draw.Canvas, st draw.GlyphStyle, at vg.Point) {
	r := st.Radius
	c.FillPolygon(st.Color, []vg.Point{{X: at.X - r, Y: at.Y + 0.6*r}, {X: at.X + r, Y: at.Y + 0.6*r}, {X: at.X, Y: at.Y - r}})
}

// upGlyph is one that points up.
type upGlyph struct{}

// DrawGlyph implements draw.GlyphDrawer.
func (upGlyph) DrawGlyph(c *draw.Canvas, st draw.GlyphStyle, at vg.Point) {
	r := st.Radius
	c.FillPolygon(st.Color, []vg.Point{{X: at.X - r, Y: at.Y - 0.6*r}, {X: at.X + r, Y: at.Y - 0.6*r}, {X: at.X, Y: at.Y + r}})
}
