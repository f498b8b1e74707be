package figure

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Rose shows how angles lie around a circle: 0 is up, and they run clockwise.
type Rose struct {
	Angles []float64 // radians
	// Mean and R are the mean direction (radians) and the resultant length, 0 to
	// 1, drawn as an arrow; the circle is where R would be 1.
	Mean, R float64
	// Up, Right, Down and Left are written beside the circle.
	Up, Right, Down, Left string
}

// petals is how many sectors the angles are counted in.
const petals = 24

// Draw implements [Drawing]. The area of a sector is as its count; the fullest one
// reaches the circle.
func (r Rose) Draw(c draw.Canvas) {
	words := letters(9, color.Black)
	words.YAlign = text.YCenter
	side := max(words.Width(r.Left), words.Width(r.Right)) + 8
	mid := vg.Point{X: (c.Min.X + c.Max.X) / 2, Y: (c.Min.Y + c.Max.Y) / 2}
	radius := min((c.Max.X-c.Min.X)/2-side, (c.Max.Y-c.Min.Y)/2-20)
	if radius < 10 {
		return
	}
	at := func(angle float64, length vg.Length) vg.Point {
		sin, cos := math.Sincos(angle)
		return vg.Point{X: mid.X + length*vg.Length(sin), Y: mid.Y + length*vg.Length(cos)}
	}
	thin := draw.LineStyle{Color: faint(Grey, 0x80), Width: 0.6}
	for _, share := range []vg.Length{0.25, 0.5, 0.75, 1} {
		ring(&c, thin, mid, share*radius)
	}
	for _, a := range []float64{0, math.Pi / 2, math.Pi, 3 * math.Pi / 2} {
		c.StrokeLines(thin, []vg.Point{mid, at(a, radius)})
	}
	r.sectors(&c, mid, radius)
	r.arrow(&c, radius, at)
	r.words(&c, words, radius, at)
}

func (r Rose) sectors(c *draw.Canvas, mid vg.Point, radius vg.Length) {
	var counts [petals]int
	most := 0
	for _, a := range r.Angles {
		k := int(math.Floor(a/(2*math.Pi)*petals+0.5)) % petals
		if k < 0 {
			k += petals
		}
		counts[k]++
		most = max(most, counts[k])
	}
	const width = 2 * math.Pi / petals
	for k, n := range counts {
		if n == 0 {
			continue
		}
		// The canvas counts angles from the right, the other way round.
		start := math.Pi/2 - (float64(k)-0.5)*width
		var p vg.Path
		p.Move(mid)
		p.Arc(mid, radius*vg.Length(math.Sqrt(float64(n)/float64(most))), start, -width)
		p.Close()
		c.SetColor(faint(Blue, 0x99))
		c.Fill(p)
		c.SetLineStyle(draw.LineStyle{Color: Blue, Width: 0.6})
		c.Stroke(p)
	}
}

func (r Rose) arrow(c *draw.Canvas, radius vg.Length, at func(float64, vg.Length) vg.Point) {
	length := radius * vg.Length(r.R)
	if length < 4 { // nothing that has a direction
		return
	}
	st := draw.LineStyle{Color: Vermillion, Width: 2.2}
	c.StrokeLines(st, []vg.Point{at(0, 0), at(r.Mean, max(0, length-6))})
	head := func(side float64) vg.Point {
		back := max(length-9, 1)
		return at(r.Mean+side*math.Atan2(4, float64(back)), vg.Length(math.Hypot(float64(back), 4)))
	}
	c.FillPolygon(Vermillion, []vg.Point{at(r.Mean, length), head(1), head(-1)})
}

func (r Rose) words(c *draw.Canvas, st text.Style, radius vg.Length, at func(float64, vg.Length) vg.Point) {
	for k, words := range []string{r.Up, r.Right, r.Down, r.Left} {
		st.XAlign = []text.XAlignment{text.XCenter, text.XLeft, text.XCenter, text.XRight}[k]
		c.FillText(st, at(float64(k)*math.Pi/2, radius+[]vg.Length{10, 5, 10, 5}[k]), words)
	}
}

func ring(c *draw.Canvas, st draw.LineStyle, mid vg.Point, radius vg.Length) {
	var p vg.Path
	p.Move(vg.Point{X: mid.X + radius, Y: mid.Y})
	p.Arc(mid, radius, 0, 2*math.Pi)
	p.Close()
	c.SetLineStyle(st)
	c.Stroke(p)
}
