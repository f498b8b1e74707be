package picture

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/detect"
)

// drawLegend says what the marks and colours mean.
func (r *Recorder) drawLegend(c draw.Canvas) {
	first, second, third := c.Max.Y-14, c.Max.Y-32, c.Max.Y-54
	x := c.Min.X + 4
	x = words(c, x, first, "Steps:")
	for _, m := range marks(vg.Points(3.2)) {
		m.draw(&c, vg.Point{X: x + 5, Y: first})
		x = words(c, x+12, first, m.name)
	}
	words(c, c.Min.X+4, second, "A step lies at the cadence it makes with the one before. A bridged step was not heard: it is placed where the rhythm expects it.")

	x = words(c, c.Min.X+4, third, "Told:")
	for _, s := range []detect.State{detect.Walking, detect.NotWalking, detect.CannotHear} {
		box(c, x, third, 14, stateColour(s))
		x = words(c, x+18, third, s.String())
	}
	x = words(c, x, third, "Chance of a cadence: 0 %")
	const bands = 40
	for i := range bands {
		v := (float64(i) + 0.5) / bands
		c.SetColor(heat(v))
		lo := x + vg.Length(2.5*float64(i))
		c.Fill(vg.Rectangle{Min: vg.Point{X: lo, Y: third - 5}, Max: vg.Point{X: lo + 2.6, Y: third + 5}}.Path())
	}
	words(c, x+2.5*bands+6, third, fmt.Sprintf("%.0f %% in one step/min (root scale)", 100*r.most()))
}

// words writes a word or more in a line and returns where the next may begin.
func words(c draw.Canvas, x, y vg.Length, s string) vg.Length {
	st := sans(9.5)
	st.YAlign = draw.YCenter
	c.FillText(st, vg.Point{X: x, Y: y}, s)
	return x + 1.12*st.Width(s) + 10 // whoever reads an SVG may have wider letters
}

// box draws a filled box with a rim.
func box(c draw.Canvas, x, y, wide vg.Length, fill color.Color) {
	p := vg.Rectangle{Min: vg.Point{X: x, Y: y - 5}, Max: vg.Point{X: x + wide, Y: y + 5}}.Path()
	c.SetColor(fill)
	c.Fill(p)
	c.SetColor(color.Gray{0x80})
	c.SetLineWidth(vg.Points(0.6))
	c.Stroke(p)
}
