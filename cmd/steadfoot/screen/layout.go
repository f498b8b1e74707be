package screen

// plan says what of the walk is shown, and how large. The first two are sizes
// of large figures: columns a pixel, 0 is plain text.
type plan struct {
	cadence, rest int
	notes         int  // lines about beat, cue, hearing and so on
	head, keys    bool // first and last line
	air           int  // blank lines between the blocks
}

// leastGauge is the narrowest gauge that stands beside the large cadence.
const leastGauge = 24

// growth are the steps in which a plan grows as long as there is room, the most
// important ones first.
var growth = []func(*plan){
	func(p *plan) { p.cadence = 1 },
	func(p *plan) { p.notes = 1 },
	func(p *plan) { p.keys = true },
	func(p *plan) { p.head = true },
	func(p *plan) { p.notes = 2 },
	func(p *plan) { p.cadence = 2 },
	func(p *plan) { p.notes = 3 },
	func(p *plan) { p.rest = 1 },
	func(p *plan) { p.air = 1 },
	func(p *plan) { p.cadence = 3 },
	func(p *plan) { p.rest = 2 },
	func(p *plan) { p.notes = 4 },
	func(p *plan) { p.air = 2 },
	func(p *plan) { p.air = 3 },
	func(p *plan) { p.cadence = 4 },
	func(p *plan) { p.rest = 3 },
	func(p *plan) { p.cadence = 6 },
	func(p *plan) { p.rest = 4 },
	func(p *plan) { p.cadence = 7 },
	func(p *plan) { p.air = 8 },
}

// newPlan finds the richest plan for a screen of w columns and h lines.
func newPlan(g *glyphs, w, h int) plan {
	var best plan
	for _, grow := range growth {
		p := best
		grow(&p)
		if p.fits(g, w, h) {
			best = p
		}
	}
	return best
}

func (p plan) fits(g *glyphs, w, h int) bool {
	_, rows := p.top(g, w)
	if p.cadence > 0 && largeWidth("000", p.cadence) > w {
		return false
	}
	if p.rest > 0 && w < 40*p.rest {
		return false
	}
	rows += p.restRows(g, w) + p.notes + p.air
	if p.head {
		rows++
	}
	if p.keys {
		rows++
	}
	return rows <= h
}

// top is the width of the gauge, 0 when it stands under the cadence, and the
// rows of both.
func (p plan) top(g *glyphs, w int) (gauge, rows int) {
	figures, rows := len("000"), 1
	if p.cadence > 0 {
		figures, rows = largeWidth("000", p.cadence), g.largeRows(p.cadence)
	}
	gauge = w - figures - 3
	if gauge < leastGauge || p.cadence > 3 && gauge < w/3 {
		return 0, rows + 3
	}
	return gauge, max(rows, 3)
}

// restRows is the height of pace and part.
func (p plan) restRows(g *glyphs, w int) int {
	switch {
	case p.rest > 0:
		return g.largeRows(p.rest) + 2
	case w < 48:
		return 2
	}
	return 1
}
