package screen

import "strings"

// figures are the large digits, in pixels: rows from the top, three columns,
// one for the colon.
var figures = map[rune][5]string{
	'0': {"###", "# #", "# #", "# #", "###"},
	'1': {" # ", "## ", " # ", " # ", "###"},
	'2': {"###", "  #", "###", "#  ", "###"},
	'3': {"###", "  #", " ##", "  #", "###"},
	'4': {"# #", "# #", "###", "  #", "  #"},
	'5': {"###", "#  ", "###", "  #", "###"},
	'6': {"###", "#  ", "###", "# #", "###"},
	'7': {"###", "  #", "  #", " # ", " # "},
	'8': {"###", "# #", "###", "# #", "###"},
	'9': {"###", "# #", "###", "  #", "###"},
	'-': {"   ", "   ", "###", "   ", "   "},
	':': {" ", "#", " ", "#", " "},
	' ': {"   ", "   ", "   ", "   ", "   "},
}

// largeRows is the height of large digits whose pixels are size columns wide.
// A cell is about twice as high as wide: with half blocks pixels are square,
// without them as square as whole cells allow.
func (g *glyphs) largeRows(size int) int {
	if g.ascii {
		return 5 * ((size + 1) / 2)
	}
	return (5*size + 1) / 2
}

// largeWidth is the width of s in large digits.
func largeWidth(s string, size int) int {
	n := 0
	for _, r := range s {
		n += len(figures[r][0]) + 1
	}
	return max(0, n-1) * size
}

// large draws s, which is made of digits, blanks, '-' and ':', in largeRows rows.
func (g *glyphs) large(s string, size int) []string {
	rows := make([]string, g.largeRows(size))
	for y := range rows {
		var b strings.Builder
		for i, r := range s {
			if i > 0 {
				b.WriteString(strings.Repeat(" ", size))
			}
			top, bottom := g.pixelRows(y, size)
			for x := range figures[r][0] {
				b.WriteString(strings.Repeat(g.cell(ink(r, top, x), ink(r, bottom, x)), size))
			}
		}
		rows[y] = b.String()
	}
	return rows
}

// pixelRows says which rows of pixels the halves of row y show.
func (g *glyphs) pixelRows(y, size int) (top, bottom int) {
	if g.ascii {
		y /= (size + 1) / 2
		return y, y
	}
	return 2 * y / size, (2*y + 1) / size
}

func ink(r rune, y, x int) bool { return y < 5 && figures[r][y][x] == '#' }

// cell is one cell with its halves filled or not.
func (g *glyphs) cell(top, bottom bool) string {
	switch {
	case top && bottom:
		return string(g.full)
	case top:
		return string(g.upper)
	case bottom:
		return string(g.lower)
	}
	return " "
}
