package figure

import (
	"math"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Season is how a figure went over weeks and months. Days count from 1970.
type Season struct {
	Heading  string
	From, To float64 // days that the axis spans
	Bars     []Bar   // sums; the axis then begins at 0
	BarName  string
	Dots     []Day // single walks
	Means    []Mean
	MeanName string
	Line     []Day // through all, two ends
	Least    float64
	Lowest   float64 // the axis does not go below, nor above Highest where it is
	Highest  float64 // more than Lowest
}

// Day is a value on a day.
type Day struct{ Day, Value float64 }

// Mean is a value with its standard error, NaN where that is not known.
type Mean struct{ Day, Value, SE float64 }

// Bar is a sum over some days.
type Bar struct{ From, To, Value float64 }

// Empty tells whether there is nothing to draw.
func (s Season) Empty() bool { return len(s.Bars)+len(s.Dots)+len(s.Means) == 0 }

// span is the range of the values.
func (s Season) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	add := func(v float64) { lo, hi = min(lo, v), max(hi, v) }
	for _, b := range s.Bars {
		add(0)
		add(b.Value)
	}
	for _, d := range s.Dots {
		add(d.Value)
	}
	for _, m := range s.Means {
		add(m.Value)
		if !math.IsNaN(m.SE) {
			add(m.Value - 1.96*m.SE)
			add(m.Value + 1.96*m.SE)
		}
	}
	if short := s.Least - (hi - lo); short > 0 {
		lo, hi = lo-short/2, hi+short/2
	}
	if pad := 0.05 * (hi - lo); len(s.Bars) == 0 {
		lo -= pad
		hi += pad
	} else {
		lo, hi = 0, max(hi+pad, 1)
	}
	if s.Highest > s.Lowest {
		lo, hi = max(lo, s.Lowest), min(hi, s.Highest)
	}
	return lo, hi
}

var (
	meanLook = draw.GlyphStyle{Color: Blue, Radius: 3.2, Shape: draw.CircleGlyph{}}
	meanBar  = draw.LineStyle{Color: Blue, Width: 1.2}
	dotLook  = draw.GlyphStyle{Color: Grey, Radius: 1.8, Shape: draw.RingGlyph{}}
	lineLook = draw.LineStyle{Color: Vermillion, Width: 1.6, Dashes: []vg.Length{6, 3}}
)

// Draw implements [Drawing].
func (s Season) Draw(c draw.Canvas) {
	if s.Empty() {
		return
	}
	c = top(c, s.Heading, s.keys())
	p := plot.New()
	p.X.Min, p.X.Max = s.From-1, max(s.To, s.From+6)+1
	p.Y.Min, p.Y.Max = s.span()
	p.X.Tick.Marker = dateTicks{max(3, int((c.Max.X-c.Min.X)/58))}
	p.Y.Tick.Marker = Ticks{Most: max(3, int((c.Max.Y-c.Min.Y)/28))}
	p.Add(season{s})
	quiet(p)
	p.Draw(draw.Crop(c, 3, -14, 0, 0))
}

func (s Season) keys() []key {
	var keys []key
	if len(s.Bars) > 0 {
		keys = append(keys, areaKey(s.BarName, faint(Blue, 0x99), draw.LineStyle{}))
	}
	if len(s.Dots) > 0 {
		keys = append(keys, glyphKey("a walk", dotLook))
	}
	if len(s.Means) > 0 {
		keys = append(keys, key{s.MeanName, func(c *draw.Canvas, at vg.Point) {
			c.StrokeLine2(meanBar, at.X, at.Y-keyHeight/2, at.X, at.Y+keyHeight/2)
			c.DrawGlyph(meanLook, at)
		}})
	}
	if len(s.Line) > 0 {
		keys = append(keys, lineKey("line over time", lineLook))
	}
	return keys
}

// season draws what is within the axes.
type season struct{ Season }

// Plot implements [plot.Plotter].
func (s season) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	grid := draw.LineStyle{Color: faint(Grey, 0x50), Width: 0.5}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		c.StrokeLine2(grid, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
	}
	for _, b := range s.Bars {
		gap := min(1, (x(b.To)-x(b.From))/6)
		x0, x1 := max(x(b.From)+gap, c.Min.X), min(x(b.To)-gap, c.Max.X)
		c.FillPolygon(faint(Blue, 0x99), []vg.Point{{X: x0, Y: y(0)}, {X: x1, Y: y(0)}, {X: x1, Y: y(b.Value)}, {X: x0, Y: y(b.Value)}})
	}
	for _, d := range s.Dots {
		c.DrawGlyph(dotLook, vg.Point{X: x(d.Day), Y: y(d.Value)})
	}
	hold := func(v float64) float64 { return max(p.Y.Min, min(p.Y.Max, v)) }
	if len(s.Line) == 2 {
		c.StrokeLines(lineLook, c.ClipLinesXY([]vg.Point{{X: x(s.Line[0].Day), Y: y(s.Line[0].Value)}, {X: x(s.Line[1].Day), Y: y(s.Line[1].Value)}})...)
	}
	for _, m := range s.Means {
		at := vg.Point{X: x(m.Day), Y: y(m.Value)}
		if !math.IsNaN(m.SE) {
			c.StrokeLine2(meanBar, at.X, y(hold(m.Value-1.96*m.SE)), at.X, y(hold(m.Value+1.96*m.SE)))
		}
		c.DrawGlyph(meanLook, at)
	}
}

// dateTicks marks the beginnings of months, or of weeks where the time is short.
type dateTicks struct{ most int }

// Ticks implements [plot.Ticker].
func (k dateTicks) Ticks(lo, hi float64) []plot.Tick {
	day := func(d float64) time.Time { return time.Unix(int64(d)*86400, 0).UTC() }
	if weeks := int((hi - lo) / 7); weeks <= 9 {
		step := float64(7 * max(1, (weeks+k.most-1)/k.most))
		first := day(math.Ceil(lo))
		var out []plot.Tick
		for d := math.Ceil(lo) + float64((8-int(first.Weekday()))%7); d <= hi; d += step {
			out = append(out, plot.Tick{Value: d, Label: day(d).Format("2 Jan")})
		}
		return out
	}
	months := (hi - lo) / 30.4
	step := 1
	for _, step = range []int{1, 2, 3, 6, 12, 24, 60} {
		if months/float64(step) <= float64(k.most) {
			break
		}
	}
	var out []plot.Tick
	for y, m := day(lo).Year(), 1; ; m += step {
		t := time.Date(y, time.Month(m), 1, 0, 0, 0, 0, time.UTC)
		d := float64(t.Unix() / 86400)
		if d > hi {
			return out
		}
		if d < lo {
			continue
		}
		label := t.Format("Jan")
		if t.Month() == 1 || len(out) == 0 {
			label = t.Format("Jan 2006")
		}
		out = append(out, plot.Tick{Value: d, Label: label})
	}
}
