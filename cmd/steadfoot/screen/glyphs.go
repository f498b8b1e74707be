package screen

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"charm.land/lipgloss/v2"
)

// glyphs are the characters that things are drawn with.
type glyphs struct {
	ascii        bool
	full         rune // a filled cell
	upper, lower rune // half of one
	rail         rune // gauge outside the band
	marker       rune // the cadence, above the gauge
	up, down     rune // beyond the ends of the gauge
	done, left   rune // of a bar
	rightward    string
	leftward     string
	right        string // all is well
	dot          string // between two things in a line
	plusMinus    string
	dash         string
	arrowsUpDown string
	attention    string
}

var blockGlyphs = glyphs{
	full: '█', upper: '▀', lower: '▄', rail: '─', marker: '▼', up: '▶', down: '◀', done: '█', left: '░',
	rightward: "▶▶▶", leftward: "◀◀◀", right: "●", dot: " · ", plusMinus: "±", dash: "–", arrowsUpDown: "↑↓", attention: "▲",
}

var asciiGlyphs = glyphs{
	ascii: true,
	full:  '#', upper: '#', lower: '#', rail: '-', marker: 'V', up: '>', down: '<', done: '#', left: '.',
	rightward: ">>>", leftward: "<<<", right: "=", dot: ", ", plusMinus: "+-", dash: "-", arrowsUpDown: "up/down", attention: "!",
}

// clean makes text from outside fit to be shown: one line, without control
// characters, and without those that only change the sign before them, about
// whose width terminals disagree.
func (g *glyphs) clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r == utf8.RuneError || !unicode.IsGraphic(r):
			return -1
		case g.ascii && r > unicode.MaxASCII:
			return '?'
		case unicode.In(r, unicode.Variation_Selector, unicode.Me, unicode.Regional_Indicator), r >= 0x1F3FB && r <= 0x1F3FF:
			return -1
		}
		return r
	}, s)
}

// width is how many columns s takes.
func width(s string) int { return lipgloss.Width(s) }

// cut shortens s to at most w columns.
func cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if width(s) <= w {
		return s
	}
	return lipgloss.NewStyle().Inline(true).MaxWidth(w).Render(s)
}
