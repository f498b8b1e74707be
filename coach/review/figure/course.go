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

// Course is how something went over the time of a walk.
type Course struct {
	Heading  string  // what is drawn, with its unit
	Duration float64 // of the time axis, s
	Pace     bool    // values are s/km: written as min:s, the quick ones on top
	Lines    []Line
	Band     []Strip // where the value was to be
	BandName string
	Parts    []Segment // along the upper edge
	Laps     []float64 // s
	Signs    []Sign    // along the lower edge
	Zero     bool      // the axis begins at 0
	Least    float64   // the axis spans so much at least
}

// Line is a value over time.
type Line struct {
	Name   string
	Points []Spot
}

// Spot is a value at a time in s; a value that is NaN breaks the line.
type Spot struct{ T, Value float64 }

func (l Line) empty() bool {
	for _, p := range l.Points {
		if !math.IsNaN(p.Value) {
			return false
		}
	}
	return true
}

// Strip is the range a value was to be in for a while.
type Strip struct{ From, To, Low, High float64 }

// Segment is a part of the session; Rest ones are drawn pale.
type Segment struct {
	From, To float64 // s
	Label    string  // words, or
	Short    string  // where there is no room for them
	Rest     bool
}

// Sign is something that was said at a time.
type Sign struct {
	T    float64
	Kind SignKind
}

// SignKind is the kind of a sign.
type SignKind uint8

// The signs.
const (
	Quicken SignKind = iota
	Ease
	Settled
	Other
)

var signs = [...]struct {
	name  string
	style draw.GlyphStyle
}{
	Quicken: {"quicken", draw.GlyphStyle{Color: Vermillion, Radius: 4.5, Shape: upGlyph{}}},
	Ease:    {"ease", draw.GlyphStyle{Color: Blue, Radius: 4.5, Shape: downGlyph{}}},
	Settled: {"settled", draw.GlyphStyle{Color: Green, Radius: 3, Shape: draw.CircleGlyph{}}},
	Other:   {"not heard", draw.GlyphStyle{Color: Soft, Radius: 3.5, Shape: draw.CrossGlyph{}}},
}

// lines are the looks of the lines, told apart by dashes as well.
var lineLooks = []draw.LineStyle{
	{Color: Blue, Width: 1.6},
	{Color: Vermillion, Width: 1.6, Dashes: []vg.Length{5, 2.5}},
}

var (
	bandFill = faint(Green, 0x38)
	bandEdge = draw.LineStyle{Color: Green, Width: 0.8}
	lapLine  = draw.LineStyle{Color: Grey, Width: 0.8, Dashes: []vg.Length{2, 2}}
)

// Empty tells whether there is nothing to draw.
func (k Course) Empty() bool {
	_, _, ok := k.span()
	return !ok
}

// span is the range of the values and the band.
func (k Course) span() (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, l := range k.Lines {
		for _, p := range l.Points {
			if !math.IsNaN(p.Value) {
				lo, hi, ok = min(lo, p.Value), max(hi, p.Value), true
			}
		}
	}
	for _, b := range k.Band {
		if ok {
			lo, hi = min(lo, b.Low), max(hi, b.High)
		}
	}
	if k.Zero {
		lo = min(lo, 0)
	}
	if short := k.Least - (hi - lo); ok && short > 0 {
		hi += short / 2
		if k.Zero {
			hi += short / 2
		} else {
			lo -= short / 2
		}
	}
	return lo, hi, ok
}

// Draw implements [Drawing].
func (k Course) Draw(c draw.Canvas) {
	lo, hi, ok := k.span()
	if !ok {
		return
	}
	pad := 0.04 * (hi - lo)
	if lo -= pad; k.Zero {
		lo = 0
	}
	hi += pad
	c = top(c, k.Heading, k.keys())
	p := plot.New()
	height := float64(c.Max.Y - c.Min.Y)
	above, below := 0.0, 0.0 // room for the parts and the signs, in values
	if len(k.Parts) > 0 {
		above = (hi - lo) * stripHeight / (height - 60)
	}
	if len(k.Signs)+len(k.Laps) > 0 {
		below = (hi - lo) * stripHeight / (height - 60)
	}
	var marks plot.Ticker = Ticks{Most: int(height / 24)}
	p.Y.Min, p.Y.Max = lo-below, hi+above
	if k.Pace {
		marks = TimeTicks{Most: int(height / 24)}
		p.Y.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
		p.Y.Min, p.Y.Max = lo-above, hi+below
	}
	p.Y.Tick.Marker = within{marks, lo, hi}
	p.X.Min, p.X.Max = 0, k.Duration
	p.X.Tick.Marker = TimeTicks{Most: max(3, int((c.Max.X-c.Min.X)/58))}
	p.X.Label.Text = "time (min:s)"
	if k.Duration >= 3600 {
		p.X.Label.Text = "time (h:min:s)"
	}
	p.Add(course{k, lo, hi})
	quiet(p)
	p.Draw(draw.Crop(c, 0, -6, 0, 0))
}

// stripHeight is the height of the rows for parts and signs, in points.
const stripHeight = 16

// quiet gives a plot small letters and thin axes.
func quiet(p *plot.Plot) {
	fonts(p)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font.Size, a.Tick.Label.Font.Size = 9, 9
		a.Label.TextStyle.Color, a.Tick.Label.Color = Soft, Soft
		a.LineStyle.Color, a.Tick.LineStyle.Color = Grey, Grey
		a.LineStyle.Width, a.Tick.LineStyle.Width = 0.6, 0.6
		a.Tick.Length = 4
		a.Padding = 2
	}
}

func (k Course) keys() []key {
	var keys []key
	for i, l := range k.Lines {
		if l.Name != "" && !l.empty() {
			keys = append(keys, lineKey(l.Name, lineLooks[i%len(lineLooks)]))
		}
	}
	if len(k.Band) > 0 {
		keys = append(keys, areaKey(k.BandName, bandFill, bandEdge))
	}
	var has [len(signs)]bool
	for _, s := range k.Signs {
		has[s.Kind] = true
	}
	for i, s := range signs {
		if has[i] {
			keys = append(keys, glyphKey(s.name, s.style))
		}
	}
	if len(k.Laps) > 0 {
		keys = append(keys, key{"lap", func(c *draw.Canvas, at vg.Point) {
			c.StrokeLine2(lapLine, at.X, at.Y-keyHeight/2, at.X, at.Y+keyHeight/2)
		}})
	}
	return keys
}

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
