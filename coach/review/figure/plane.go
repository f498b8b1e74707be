package figure

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"steadfoot/coach"
	"steadfoot/coach/units"
	"steadfoot/profiles"
)

// Plane is cadence against step length, with lines of equal pace.
type Plane struct {
	Title string
	Units units.System
	// The part that is shown: cadence in steps/min, step length in m.
	Cadence, Length [2]float64
	Own             profiles.Curve // the walker's own step length, or empty
	Series          []Series
}

// Series is a set of points with a name.
type Series struct {
	Name   string
	Points []Point
}

// Point is a cadence in steps/min with a step length in m.
type Point struct{ Cadence, Length float64 }

// The walker's own line, and its name in the legend.
var ownLine = draw.LineStyle{Color: color.Black, Width: 2, Dashes: []vg.Length{6, 3}}

const ownName = "the walker's own step length"

// looks tell series apart by shape and colour.
var looks = []draw.GlyphStyle{
	{Color: Vermillion, Radius: vg.Points(5), Shape: draw.CircleGlyph{}},
	{Color: Blue, Radius: vg.Points(5), Shape: draw.PyramidGlyph{}},
	{Color: Green, Radius: vg.Points(5), Shape: draw.BoxGlyph{}},
	{Color: Purple, Radius: vg.Points(5), Shape: draw.CrossGlyph{}},
}

// Draw implements [Drawing]: the plane with its legend above it.
func (pl Plane) Draw(c draw.Canvas) {
	p, err := pl.Plot()
	if err != nil { // points that are no numbers: there is nothing to show
		return
	}
	var keys []key
	if pl.ownShown() {
		keys = append(keys, lineKey(ownName, ownLine))
	}
	for i, s := range pl.Series {
		keys = append(keys, glyphKey(s.Name, looks[i%len(looks)]))
	}
	p.Legend = plot.NewLegend()
	heading := p.Y.Label.Text
	p.Y.Label.Text = ""
	quiet(p)
	c = top(c, heading, keys)
	p.X.Tick.Marker = Ticks{Most: max(3, int((c.Max.X-c.Min.X)/48))}
	p.Draw(draw.Crop(c, 3, -34, 0, 0))
}

// ownShown tells whether the walker's own line passes through what is shown.
func (pl Plane) ownShown() bool {
	for _, c := range spread(pl.Cadence[0], pl.Cadence[1], 50) {
		if l := pl.Own.Length(c); l > pl.Length[0] && l < pl.Length[1] {
			return true
		}
	}
	return false
}

// Plot draws the plane.
func (pl Plane) Plot() (*plot.Plot, error) {
	p := plot.New()
	p.Title.Text = pl.Title
	p.Title.Padding = vg.Points(6)
	p.X.Label.Text = "cadence (steps/min)"
	p.Y.Label.Text = "step length (m)"
	if pl.Units == units.Imperial {
		p.Y.Label.Text = "step length (in)"
	}
	p.X.Min, p.X.Max = pl.Cadence[0], pl.Cadence[1]
	p.Y.Min, p.Y.Max = pl.y(pl.Length[0]), pl.y(pl.Length[1])
	if err := pl.paces(p); err != nil {
		return nil, err
	}
	if len(pl.Own) > 0 {
		if err := pl.own(p); err != nil {
			return nil, err
		}
	}
	for i, s := range pl.Series {
		xy := make(plotter.XYs, len(s.Points))
		for k, pt := range s.Points {
			xy[k].X, xy[k].Y = pt.Cadence, pl.y(pt.Length)
		}
		sc, err := plotter.NewScatter(xy)
		if err != nil {
			return nil, err
		}
		sc.GlyphStyle = looks[i%len(looks)]
		p.Add(sc)
		p.Legend.Add(s.Name, sc)
	}
	// What was added may have stretched the axes.
	p.X.Min, p.X.Max = pl.Cadence[0], pl.Cadence[1]
	p.Y.Min, p.Y.Max = pl.y(pl.Length[0]), pl.y(pl.Length[1])
	// The upper left corner is far from where longer and quicker lead.
	p.Legend.Left, p.Legend.Top = true, false
	p.Legend.XOffs, p.Legend.YOffs, p.Legend.Padding = vg.Points(8), vg.Points(8), vg.Points(3)
	p.X.Tick.Marker, p.Y.Tick.Marker = Ticks{}, Ticks{}
	fonts(p)
	return p, nil
}

// y is a length in the unit of the axis.
func (pl Plane) y(m float64) float64 {
	if pl.Units == units.Imperial {
		return m / units.Inch
	}
	return m
}

// own draws the walker's own line, as far as it was measured.
func (pl Plane) own(p *plot.Plot) error {
	from, to := pl.Cadence[0], pl.Cadence[1]
	if n := len(pl.Own); n > 1 {
		from, to = max(from, pl.Own[0].Cadence), min(to, pl.Own[n-1].Cadence)
	}
	var xy plotter.XYs
	for _, c := range spread(from, to, 50) {
		xy = append(xy, plotter.XY{X: c, Y: pl.y(pl.Own.Length(c))})
	}
	line, err := plotter.NewLine(xy)
	if err != nil {
		return err
	}
	line.LineStyle = ownLine
	p.Add(line)
	p.Legend.Add(ownName, line)
	return nil
}

// paces draws lines of equal pace, and writes each at its upper end.
func (pl Plane) paces(p *plot.Plot) error {
	fast, slow := coach.PaceOf(pl.Cadence[1], pl.Length[1]), coach.PaceOf(pl.Cadence[0], pl.Length[0])
	unit, _ := pl.Units.Long()
	scale := unit / units.Km
	step := paceStep((slow - fast) * scale)
	for t := math.Ceil(fast*scale/step) * step; t <= slow*scale; t += step {
		pace := t / scale
		var xy plotter.XYs
		for _, c := range spread(pl.Cadence[0], pl.Cadence[1], 80) {
			if l := coach.LengthOf(pace, c); l >= pl.Length[0] && l <= pl.Length[1] {
				xy = append(xy, plotter.XY{X: c, Y: pl.y(l)})
			}
		}
		if len(xy) < 6 { // a mere corner
			continue
		}
		line, err := plotter.NewLine(xy)
		if err != nil {
			return err
		}
		line.Color, line.Width = Grey, vg.Points(0.8)
		p.Add(line)
		if err := pl.mark(p, xy, pl.Units.Pace(pace)); err != nil {
			return err
		}
	}
	return nil
}

// mark writes a pace beside its line, inside of the frame.
func (pl Plane) mark(p *plot.Plot, line plotter.XYs, words string) error {
	at := line[0]
	for _, xy := range line {
		if at = xy; xy.Y <= p.Y.Max-0.05*(p.Y.Max-p.Y.Min) { // room above it
			break
		}
	}
	l, err := plotter.NewLabels(plotter.XYLabels{XYs: plotter.XYs{at}, Labels: []string{words}})
	if err != nil {
		return err
	}
	l.TextStyle[0] = text.Style{Color: color.Gray{0x55}, Font: font.From(plot.DefaultFont, 9), Handler: plot.DefaultTextHandler, YAlign: text.YBottom}
	l.TextStyle[0].Font.Variant = "Sans"
	l.Offset = vg.Point{X: vg.Points(4), Y: vg.Points(1)}
	if at.X > p.X.Max-0.1*(p.X.Max-p.X.Min) { // no room to its right
		l.TextStyle[0].XAlign, l.Offset.X = text.XRight, vg.Points(-1)
	}
	p.Add(l)
	return nil
}

// paceStep is a round number of seconds that makes 5 to 12 lines.
func paceStep(span float64) float64 {
	for _, s := range []float64{1, 2, 5, 10, 15, 20, 30, 60, 120} {
		if span/s <= 12 {
			return s
		}
	}
	return 300
}

func spread(from, to float64, n int) []float64 {
	out := make([]float64, n+1)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n)
	}
	return out
}
