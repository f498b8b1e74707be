package screen

import (
	"fmt"
	"strings"
)

// draw shows s in exactly h lines of at most w columns. note is a word to the
// one who pressed a key, keys the last line.
func (s *Snapshot) draw(g *glyphs, w, h int, note string, keys line) block {
	if w < 1 || h < 1 {
		return nil
	}
	p := newPlan(g, w, h)
	var blocks []block
	if p.head {
		blocks = append(blocks, block{s.head(g, w)})
	}
	blocks = append(blocks, s.top(g, p, w), s.middle(g, p, w))
	if notes := s.notes(g, w, p.notes, note); p.notes > 0 {
		blocks = append(blocks, notes)
	}
	if p.keys {
		blocks = append(blocks, block{keys.fit(w)})
	}
	return stack(blocks, h)
}

// stack puts blocks one below the other. The lines that are left of h go between
// them, as evenly as can be, so that the last block ends at the last line.
func stack(blocks []block, h int) block {
	free := h
	for _, b := range blocks {
		free -= len(b)
	}
	var out block
	for i, b := range blocks {
		out = append(out, b...)
		if gaps := len(blocks) - 1 - i; gaps > 0 && free > 0 {
			n := (free + gaps - 1) / gaps
			out = append(out, make(block, n)...)
			free -= n
		}
	}
	return out[:min(h, len(out))]
}

// head is the first line: time and distance, who and what, the log.
func (s *Snapshot) head(g *glyphs, w int) line {
	l := line{{clock(s.Time), strong}}
	if known(s.Distance) {
		l = append(l, span{"  " + length(s.Distance), plain})
	}
	for _, t := range []string{g.clean(s.Athlete), g.clean(s.Label)} {
		if t != "" {
			l = append(l, span{g.dot + t, faint})
		}
	}
	if s.Log != "" {
		return ends(l, say(alarm, " log fails "), w)
	}
	return ends(l, say(faint, " logged"), w)
}

// top is the cadence with the gauge.
func (s *Snapshot) top(g *glyphs, p plan, w int) block {
	gauge, rows := p.top(g, w)
	text := fmt.Sprintf("%3s", cadence(s.cadenceShown()))
	figures := block{say(s.look(), text)}
	if p.cadence > 0 {
		figures = nil
		for _, r := range g.large(text, p.cadence) {
			figures = append(figures, say(s.look(), r))
		}
	}
	if gauge > 0 {
		return beside(3, figures, s.gauge(g, gauge, rows)).tall(rows)
	}
	var out block
	for _, l := range figures {
		out = append(out, l.centre(w))
	}
	return append(out, s.gauge(g, w, 3)...).tall(rows)
}

// cadenceShown is the cadence, or 0 when there is none to go by.
func (s *Snapshot) cadenceShown() float64 {
	if s.State == Waiting || s.State == Standing || s.State == Deaf {
		return 0
	}
	return s.Cadence
}

// middle is pace beside the part and what is left of it.
func (s *Snapshot) middle(g *glyphs, p plan, w int) block {
	if p.rest == 0 {
		return s.middleText(g, w)
	}
	wide := (w - 3) / 2
	left := block{say(strong, "Pace per km")}
	left = append(left, s.largeText(g, pace(s.Pace), "", p.rest, wide)...)
	aim := ""
	if known(s.TargetPace) {
		aim = "target " + pace(s.TargetPace)
	}
	left = append(left, say(faint, aim))

	n, unit := s.remains()
	right := block{say(strong, g.clean(s.Part.title()))}
	right = append(right, s.largeText(g, n, unit, p.rest, wide)...)
	right = append(right, s.way(g, wide))
	for i := range left {
		left[i] = left[i].fit(wide)
	}
	return beside(3, left, right)
}

// middleText is the same as text, in one line or two.
func (s *Snapshot) middleText(g *glyphs, w int) block {
	l := line{{pace(s.Pace) + " /km", strong}}
	if known(s.TargetPace) {
		l = append(l, span{" (" + pace(s.TargetPace) + ")", faint})
	}
	n, unit := s.remains()
	part := line{{n + " " + unit, strong}, {g.dot + g.clean(s.Part.title()), plain}}
	if w < 48 {
		return block{l.fit(w), part.fit(w)}
	}
	return block{append(l.fit(w-w*2/3), part...).fit(w)}
}

// largeText is figures in the largest size up to size that is not wider than w,
// with a unit behind them, in as many rows as size takes.
func (s *Snapshot) largeText(g *glyphs, figures, unit string, size, w int) block {
	rows := g.largeRows(size)
	for size > 0 && largeWidth(figures, size)+1+width(unit) > w {
		size--
	}
	var out block
	if size == 0 {
		out = block{line{{figures + " " + unit, strong}}}
	} else {
		for _, r := range g.large(figures, size) {
			out = append(out, say(plain, r))
		}
		last := len(out) - 1
		out[last] = append(out[last], span{" " + unit, plain})
	}
	out = out.tall(rows)
	for i := range out {
		out[i] = out[i].fit(w)
	}
	return out
}

// remains is what is left of the part, or the way so far when it has no end.
func (s *Snapshot) remains() (figures, unit string) {
	switch {
	case known(s.Part.Length):
		return fmt.Sprintf("%.0f", min(max(0, s.Left), 99999)), "m left"
	case known(s.Part.Duration):
		return clock(s.Left), "left"
	case known(s.Distance):
		return fmt.Sprintf("%.0f", min(s.Distance, 99999)), "m walked"
	}
	return clock(s.Time), "walked"
}

// way is how much of the part is done, and what comes after it.
func (s *Snapshot) way(g *glyphs, w int) line {
	if s.Part.plan() == "" || !(s.Done >= 0 && s.Done <= 1) {
		return say(faint, s.next(g, w)).fit(w)
	}
	n := max(4, min(w/3, 24))
	full := int(s.Done*float64(n) + 0.5)
	return line{
		{strings.Repeat(string(g.done), full), plain},
		{strings.Repeat(string(g.left), n-full), faint},
		{"  " + s.next(g, w-n-2), faint},
	}.fit(w)
}

// next says in about w columns what comes after the part.
func (s *Snapshot) next(g *glyphs, w int) string {
	if s.Next.Role == "" {
		return ""
	}
	short := "then " + g.clean(s.Next.name())
	if p := s.Next.plan(); p != "" {
		short += ", " + p
	}
	if long := short + g.dot + g.clean(s.Next.Label); s.Next.Label != "" && width(long) <= w {
		return long
	}
	return short
}
