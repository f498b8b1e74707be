package screen

import (
	"strings"

	"charm.land/lipgloss/v2"
)

// look is how a piece of text is shown. Colour only repeats what place, word
// and sign already say, so a terminal without it loses nothing.
type look uint8

const (
	plain look = iota
	strong
	faint
	slow  // below the band
	quick // above it
	badge // reversed
	badgeSlow
	badgeQuick
	alarm
)

// Blue and orange are told apart by people with any of the usual kinds of
// colour blindness; both stand out against black and against white.
const (
	blue   = "#3A8BD0"
	orange = "#CF7000"
)

var looks = [...]lipgloss.Style{
	plain:      lipgloss.NewStyle(),
	strong:     lipgloss.NewStyle().Bold(true),
	faint:      lipgloss.NewStyle().Faint(true),
	slow:       lipgloss.NewStyle().Foreground(lipgloss.Color(blue)),
	quick:      lipgloss.NewStyle().Foreground(lipgloss.Color(orange)),
	badge:      lipgloss.NewStyle().Reverse(true),
	badgeSlow:  lipgloss.NewStyle().Bold(true).Reverse(true).Foreground(lipgloss.Color(blue)),
	badgeQuick: lipgloss.NewStyle().Bold(true).Reverse(true).Foreground(lipgloss.Color(orange)),
	alarm:      lipgloss.NewStyle().Bold(true).Reverse(true),
}

// span is a piece of a line.
type span struct {
	text string
	look look
}

// line is one line of the screen, or a part of one.
type line []span

// say makes a line of one piece.
func say(l look, text string) line { return line{{text, l}} }

func (l line) width() int {
	n := 0
	for _, s := range l {
		n += width(s.text)
	}
	return n
}

// fit cuts or pads l to exactly w columns.
func (l line) fit(w int) line {
	var out line
	for _, s := range l {
		s.text = cut(s.text, w)
		w -= width(s.text)
		out = append(out, s)
	}
	if w > 0 {
		out = append(out, span{strings.Repeat(" ", w), plain})
	}
	return out
}

// blank is a line without text that looks like l.
func (l line) blank() line {
	var out line
	for _, s := range l {
		out = append(out, span{strings.Repeat(" ", width(s.text)), s.look})
	}
	return out
}

// centre puts l into the middle of w columns.
func (l line) centre(w int) line {
	pad := max(0, (w-l.width())/2)
	return append(say(plain, strings.Repeat(" ", pad)), l...).fit(w)
}

// ends puts l to the left and r to the right of w columns; l gives way.
func ends(l, r line, w int) line {
	rest := w - r.width()
	if rest <= 0 {
		return r.fit(w)
	}
	return append(l.fit(rest), r...)
}

// block is lines of equal width.
type block []line

// tall cuts or pads b to exactly h lines.
func (b block) tall(h int) block {
	for len(b) < h {
		b = append(b, nil)
	}
	return b[:h]
}

// beside joins blocks from left to right, with a gap of columns between. Each
// is as wide as its first line.
func beside(gap int, blocks ...block) block {
	var out block
	for y := 0; ; y++ {
		var l line
		more := false
		for i, b := range blocks {
			if i > 0 {
				l = append(l, span{strings.Repeat(" ", gap), plain})
			}
			if y < len(b) {
				l, more = append(l, b[y]...), true
			} else if len(b) > 0 {
				l = append(l, span{strings.Repeat(" ", b[0].width()), plain})
			}
		}
		if !more {
			return out
		}
		out = append(out, l)
	}
}

// render turns lines into text of at most w columns and h lines.
func (b block) render(w, h int) string {
	var s strings.Builder
	for i, l := range b[:min(h, len(b))] {
		if i > 0 {
			s.WriteByte('\n')
		}
		l = l.fit(w)
		for len(l) > 0 && l[len(l)-1].look == plain { // no blanks at the end
			l[len(l)-1].text = strings.TrimRight(l[len(l)-1].text, " ")
			if l[len(l)-1].text != "" {
				break
			}
			l = l[:len(l)-1]
		}
		for _, p := range l {
			if p.look == plain {
				s.WriteString(p.text)
			} else {
				s.WriteString(looks[p.look].Render(p.text))
			}
		}
	}
	return s.String()
}
