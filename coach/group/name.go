package group

import (
	"strings"
	"unicode"
)

// maxMarks is how many combining marks may follow a letter. Written languages
// need two or three; towers of them run over the neighbouring lines.
const maxMarks = 3

// CleanName returns s as the name of a walker or a group may be shown: without
// control, formatting (bidirectional, zero-width) and other invisible
// characters, with single spaces inside and none at the ends, at most [MaxName]
// runes long. It is "" when nothing is left. CleanName of its own result is that
// result. Pages must still escape it.
func CleanName(s string) string {
	var b strings.Builder
	runes, marks, space := 0, 0, false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			space = true
			continue
		case !visible(r):
			continue
		case unicode.Is(unicode.M, r):
			if marks++; marks > maxMarks || runes == 0 || space {
				continue
			}
		default:
			marks = 0
		}
		if space && runes > 0 {
			if runes+2 > MaxName {
				break
			}
			b.WriteByte(' ')
			runes++
		}
		space = false
		if runes == MaxName {
			break
		}
		b.WriteRune(r)
		runes++
	}
	return b.String()
}

// visible tells whether r leaves something on a screen. The fillers, the empty
// braille cell and the joiners are letters, symbols and marks by their class, yet
// show nothing. U+FFFD is what the bytes of no character decode to.
func visible(r rune) bool {
	switch r {
	case 0x115F, 0x1160, 0x3164, 0xFFA0, 0x2800, 0x034F, 0x17B4, 0x17B5, unicode.ReplacementChar:
		return false
	}
	return unicode.IsGraphic(r) && !unicode.Is(unicode.Variation_Selector, r)
}
