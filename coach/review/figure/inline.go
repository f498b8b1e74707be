package figure

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// themed are the colours that the page decides, so that a picture is read on
// light and dark paper. The fill of what has no colour of its own, as of black
// text, is that of the svg element: the page sets it to --ink.
var themed = strings.NewReplacer(
	"#000000", "var(--ink)",
	"#FFFFFF", "var(--paper)",
	"#0072B2", "var(--blue)",
	"#999999", "var(--grey)",
	"#555555", "var(--soft)",
)

// Inline draws p of the size w by h as an svg element to stand within an HTML
// page. It scales with the page, takes the page's fonts and its colours from the
// variables --ink, --paper, --soft, --grey and --blue, and tells a reader who
// does not see it what it shows: title in a few words, desc in a sentence or two.
// id is the element's own in the page, a letter and then letters, digits or -.
func Inline(p Drawing, w, h vg.Length, id, title, desc string) (string, error) {
	c := vgsvg.New(w, h)
	p.Draw(draw.New(c))
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return "", err
	}
	text := b.String()
	_, body, found := strings.Cut(text, "xmlns:xlink=\"http://www.w3.org/1999/xlink\">")
	if !found {
		return "", fmt.Errorf("figure: no head in the SVG of %q", title)
	}
	head := fmt.Sprintf(`<svg class="plot" viewBox="0 0 %.5g %.5g" role="img" aria-labelledby="%s-t %[3]s-d"><title id="%[3]s-t">%[4]s</title><desc id="%[3]s-d">%[5]s</desc>`,
		w.Points(), h.Points(), id, html.EscapeString(title), html.EscapeString(desc))
	return head + themed.Replace(plainFonts.Replace(body)), nil
}

// plainFonts leaves the choice of font to the page.
var plainFonts = strings.NewReplacer(
	"font-family:Liberation Sans;", "", "font-variant:normal;", "", "font-weight:normal;", "", "font-style:normal;", "",
)
