package screen

import "strings"

// cautionPage is what is to be read before the first walk.
func cautionPage(g *glyphs, text string, w int) block {
	out := block{}
	for _, l := range wrap(g.clean(text), min(w, 72)) {
		out = append(out, say(plain, l))
	}
	return append(out, nil, say(strong, "Any key shows the walk, which has begun."))
}

// wrap breaks text between words into lines of at most w columns; a longer word
// is cut.
func wrap(text string, w int) []string {
	var out []string
	l := ""
	for _, word := range strings.Fields(text) {
		word = cut(word, w)
		switch {
		case l == "":
			l = word
		case width(l)+1+width(word) > w:
			out = append(out, l)
			l = word
		default:
			l += " " + word
		}
	}
	return append(out, l)
}
