package screen

import (
	"fmt"
	"math"
	"strings"
)

// gauge is the panel of h lines beside the large cadence: a badge with the
// verdict, which lies on the side where the cadence is, and a scale with the
// band in the middle and the cadence on it.
func (s *Snapshot) gauge(g *glyphs, w, h int) block {
	out := block{s.badge(g, w)}
	if h >= 12 {
		out = block{out[0].blank(), out[0], out[0].blank()}
	}
	if !s.scaled() {
		return append(out, s.aim(g, w))
	}
	scale := s.newScale(w)
	if h < 4 { // the pointer lies on the bar
		return append(out, scale.overlay(g, s), scale.figures(s))
	}
	bars := 1
	if h >= 6 {
		bars = max(2, h/4-1)
		out = append(out, nil)
	}
	for range bars - 1 {
		out = append(out, scale.stem(g, s))
	}
	out = append(out, scale.pointer(g, s))
	for range bars {
		out = append(out, scale.bar(g))
	}
	out = append(out, scale.figures(s))
	if len(out) < h {
		out = append(out, s.aim(g, w))
	}
	return out
}

// scaled tells whether there is a band to show.
func (s *Snapshot) scaled() bool {
	return known(s.Target) && known(s.Low) && known(s.High) && s.Low < s.High
}

// badge is the verdict over the whole width of the panel.
func (s *Snapshot) badge(g *glyphs, w int) line {
	v := s.verdict()
	words := strings.ToUpper(v.word)
	if long := words + " " + g.dash + " " + g.clean(v.advice); v.advice != "" && width(long)+6 <= w {
		words = long
	}
	switch {
	case v.sign < 0:
		return line{{cut(" "+g.rightward+" "+words, w), badgeSlow}}.stretch(w)
	case v.sign > 0:
		words = cut(words+" "+g.leftward+" ", w)
		return line{{strings.Repeat(" ", w-width(words)) + words, badgeQuick}}
	case v.good:
		return line{{centred(g.right+" "+words+" "+g.right, w), badge}}
	case v.calm:
		return line{{centred(words, w), strong}}
	}
	return line{{centred(g.attention+" "+words, w), alarm}}
}

// stretch widens the last span of l to w columns in its own look.
func (l line) stretch(w int) line {
	l[len(l)-1].text += strings.Repeat(" ", max(0, w-l.width()))
	return l
}

// centred puts s into the middle of w columns.
func centred(s string, w int) string {
	s = cut(s, w)
	pad := w - width(s)
	return strings.Repeat(" ", pad/2) + s + strings.Repeat(" ", pad-pad/2)
}

// aim says target, band and certainty in figures, as much of it as there is
// room for.
func (s *Snapshot) aim(g *glyphs, w int) line {
	var target, band, certain string
	if s.scaled() {
		target = "target " + cadence(s.Target)
		band = "band " + cadence(s.Low) + " to " + cadence(s.High)
	}
	if known(s.Cadence) && s.CadenceSD >= 0 && s.CadenceSD < 100 {
		certain = fmt.Sprintf("%s%.1f", g.plusMinus, s.CadenceSD)
		if target == "" {
			certain = "cadence to " + certain + " steps/min"
		}
	}
	text := ""
	for _, t := range []string{target, certain, band} {
		joined := t
		if text != "" && t != "" {
			joined = text + g.dot + t
		}
		if t != "" && width(joined) <= w {
			text = joined
		}
	}
	return say(faint, text).centre(w)
}

// scale maps cadence to columns. The band is the middle third.
type scale struct {
	w, from, to int     // columns: all, and the band's [from, to)
	at          int     // of the cadence; -1: there is none
	beyond      float64 // -1 or 1: the cadence is beyond that end
}

func (s *Snapshot) newScale(w int) scale {
	sc := scale{w: w, from: w / 3, to: w - w/3, at: -1}
	if !known(s.Cadence) || !s.judged() {
		return sc
	}
	x := float64(sc.from) + (s.Cadence-s.Low)/(s.High-s.Low)*float64(sc.to-sc.from)
	switch {
	case x < 0:
		sc.beyond = -1
	case x >= float64(w):
		sc.beyond = 1
	}
	sc.at = int(math.Max(0, math.Min(math.Floor(x), float64(w-1))))
	// Rounding to columns must not move a cadence over an edge of the band.
	switch s.State {
	case TooSlow:
		sc.at = min(sc.at, sc.from-1)
	case TooQuick:
		sc.at = max(sc.at, sc.to)
	case InBand:
		sc.at = min(max(sc.at, sc.from), sc.to-1)
	}
	sc.at = min(max(sc.at, 0), w-1)
	return sc
}

// judged tells whether the cadence is one to go by.
func (s *Snapshot) judged() bool {
	switch s.State {
	case InBand, TooSlow, TooQuick, Listening, Free:
		return !s.Paused
	}
	return false
}

// look is that of the cadence.
func (s *Snapshot) look() look {
	switch {
	case !s.judged() || s.State == Listening:
		return faint
	case known(s.Target) && s.State == TooSlow:
		return slow
	case known(s.Target) && s.State == TooQuick:
		return quick
	}
	return strong
}

// put is a line of w blanks with text centred on column x, moved in from the
// edges.
func put(w, x int, text string, l look) line {
	text = cut(text, w)
	x = min(max(0, x-width(text)/2), w-width(text))
	return append(say(plain, strings.Repeat(" ", x)), span{text, l}).fit(w)
}

// pointer stands above the bar, at the cadence.
func (sc scale) pointer(g *glyphs, s *Snapshot) line {
	if sc.at < 0 {
		return line{}.fit(sc.w)
	}
	switch sc.beyond {
	case -1:
		return put(sc.w, 0, strings.Repeat(string(g.down), 2), s.look())
	case 1:
		return put(sc.w, sc.w, strings.Repeat(string(g.up), 2), s.look())
	}
	return put(sc.w, sc.at, string(g.marker), s.look())
}

// stem makes the pointer larger where there is room.
func (sc scale) stem(g *glyphs, s *Snapshot) line {
	if sc.at < 0 || sc.beyond != 0 {
		return line{}.fit(sc.w)
	}
	return put(sc.w, sc.at, strings.Repeat(string(g.full), 3), s.look())
}

// bar is the scale, the band filled.
func (sc scale) bar(g *glyphs) line {
	rail := func(n int) string { return strings.Repeat(string(g.rail), n) }
	return line{
		{rail(sc.from), faint},
		{strings.Repeat(string(g.full), sc.to-sc.from), plain},
		{rail(sc.w - sc.to), faint},
	}
}

// overlay is the bar with the pointer on it, for panels of three lines.
func (sc scale) overlay(g *glyphs, s *Snapshot) line {
	b := sc.bar(g)
	if sc.at < 0 {
		return b
	}
	sign := string(g.marker)
	switch sc.beyond {
	case -1:
		sign = string(g.down)
	case 1:
		sign = string(g.up)
	}
	var out line
	x := 0
	for _, p := range b {
		runes := []rune(p.text)
		if i := sc.at - x; i >= 0 && i < len(runes) {
			out = append(out, span{string(runes[:i]), p.look}, span{sign, alarm}, span{string(runes[i+1:]), p.look})
		} else {
			out = append(out, p)
		}
		x += len(runes)
	}
	return out
}

// figures are the ends of the band, under them.
func (sc scale) figures(s *Snapshot) line {
	low, high := cadence(s.Low), cadence(s.High)
	left := put(sc.to-sc.from, 0, low, plain)
	mid := ends(left, say(plain, high), sc.to-sc.from)
	out := say(faint, "slow").fit(sc.from)
	out = append(out, mid...)
	return append(out, ends(nil, say(faint, "quick"), sc.w-sc.to)...)
}
