package figure

import (
	"math"

	"gonum.org/v1/plot"
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
	p.Draw(draw.Crop(c, 3, -6, 0, 0))
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
