package picture

import (
	"fmt"
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/coach/review/figure/sheet"
	"steadfoot/detect"
)

const (
	width  = 11 * vg.Inch
	height = 8 * vg.Inch
	margin = vg.Length(10)
	head   = vg.Length(42) // height of the title
	foot   = vg.Length(70) // and of the legend
)

// Draw draws what was recorded in an SVG or PNG file; of names what was heard.
func (r *Recorder) Draw(path, of string) error {
	return sheet.Save(path, width, height, func(c draw.Canvas) error { return r.drawOn(c, of) })
}

func (r *Recorder) drawOn(c draw.Canvas, of string) error {
	walking, err := r.walkingPanel()
	if err != nil {
		return err
	}
	evidence, err := r.evidencePanel()
	if err != nil {
		return err
	}
	c = draw.Crop(c, margin, -margin-4, margin, -margin)
	r.drawTitle(c, of)
	r.drawLegend(draw.Crop(c, 0, 0, 0, foot-(c.Max.Y-c.Min.Y)))
	stack(draw.Crop(c, 0, 0, foot, -head), []*plot.Plot{walking, evidence, r.cadencePanel()}, []float64{0.15, 0.27, 0.58})
	return nil
}

// stack draws plots over one another, each with a share of the height, so that
// their times lie over one another too.
func stack(c draw.Canvas, plots []*plot.Plot, shares []float64) {
	tall, top := c.Max.Y-c.Min.Y, c.Max.Y
	areas := make([]draw.Canvas, len(plots))
	var left, right vg.Length
	for i, p := range plots {
		bottom := top - tall*vg.Length(shares[i])
		areas[i] = c
		areas[i].Rectangle = vg.Rectangle{Min: vg.Point{X: c.Min.X, Y: bottom + 3}, Max: vg.Point{X: c.Max.X, Y: top - 3}}
		data := p.DataCanvas(areas[i])
		left, right = max(left, data.Min.X-c.Min.X), max(right, c.Max.X-data.Max.X)
		top = bottom
	}
	for i, p := range plots {
		data := p.DataCanvas(areas[i])
		p.Draw(draw.Crop(areas[i], left-(data.Min.X-c.Min.X), -(right - (c.Max.X - data.Max.X)), 0, 0))
	}
}

// sans is text of so many points.
func sans(size float64) text.Style {
	f := font.From(plot.DefaultFont, vg.Points(size))
	f.Variant = "Sans"
	return text.Style{Color: color.Black, Font: f, XAlign: draw.XLeft, YAlign: draw.YTop, Handler: plot.DefaultTextHandler}
}

// drawTitle says what is drawn, and sums it up.
func (r *Recorder) drawTitle(c draw.Canvas, of string) {
	c.FillText(sans(15), vg.Point{X: c.Min.X, Y: c.Max.Y}, "What steadfoot believes: "+of)
	c.FillText(sans(10.5), vg.Point{X: c.Min.X, Y: c.Max.Y - 21}, r.Summary())
}

// Summary says in a line what was told in the time drawn.
func (r *Recorder) Summary() string {
	minutes := r.end()-r.from > minuteTicksFrom
	span := fmt.Sprintf("%s to %s s", timeLabel(r.from, 0.1, false), timeLabel(r.end(), 0.1, false))
	if minutes {
		span = fmt.Sprintf("%s to %s min", timeLabel(r.from, 1, true), timeLabel(r.end(), 1, true))
	}
	if len(r.steps) == 0 {
		return span + ": no steps found"
	}
	heard := 0
	for _, s := range r.steps {
		if s.Heard {
			heard++
		}
	}
	line := fmt.Sprintf("%s: %d steps found, %d heard, %d bridged", span, len(r.steps), heard, len(r.steps)-heard)
	var sum float64
	n := 0
	for _, y := range r.told {
		if y.State == detect.Walking && y.Cadence > 0 {
			sum, n = sum+y.Cadence, n+1
		}
	}
	if n > 0 {
		line += fmt.Sprintf("; cadence told %.1f steps/min on average", sum/float64(n))
	}
	return line
}
