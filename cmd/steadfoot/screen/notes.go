package screen

import (
	"fmt"
	"math"
	"strings"
)

// recent is how long a fault is shown, s.
const recent = 15

// notes are the n most important lines about everything else, in their usual
// order.
func (s *Snapshot) notes(g *glyphs, w, n int, note string) block {
	urgent := s.urgent(g, note)
	all := block{s.hearing(g), s.cue(g), s.beat(g), s.evenness(g)} // most important first
	if s.Group.Name != "" {
		all = append(block{s.group(g)}, all...)
	}
	if urgent != nil {
		all = append(block{urgent}, all...)
	}
	show := all[:min(n, len(all))]
	out := make(block, n)
	for i, l := range show {
		out[i] = l.fit(w)
	}
	return out
}

// urgent is what went wrong, or the answer to a key; nil when there is nothing.
func (s *Snapshot) urgent(g *glyphs, note string) line {
	switch {
	case note != "":
		return say(strong, note)
	case s.Fault != "" && s.Time-s.FaultAt < recent:
		return line{{" " + g.attention + " ", alarm}, {" " + g.clean(s.Fault), strong}}
	case s.Log != "":
		return line{{" " + g.attention + " ", alarm}, {" log: " + g.clean(s.Log), strong}}
	}
	return nil
}

// label begins a note.
func label(s string) span { return span{fmt.Sprintf("%-7s", s), faint} }

func (s *Snapshot) hearing(g *glyphs) line {
	if s.State == Deaf {
		return line{label("Heard"), {strings.TrimSpace("nothing  " + g.clean(s.Trouble)), strong}}
	}
	if s.State == Waiting || s.State == Standing {
		return line{label("Heard"), {"no steps  " + g.clean(s.Trouble), plain}}
	}
	l := line{label("Heard"), {fmt.Sprintf("%-5s ", percent(s.Heard)), plain}}
	if s.Heard >= 0 && s.Heard <= 1 {
		full := int(s.Heard*10 + 0.5)
		l = append(l, span{strings.Repeat(string(g.done), full), plain}, span{strings.Repeat(string(g.left), 10-full), faint})
	}
	return append(l, span{"  " + s.listening(g), plain})
}

// listening says how good that is.
func (s *Snapshot) listening(g *glyphs) string {
	switch {
	case s.Trouble != "":
		return g.clean(s.Trouble)
	case s.Heard >= 0.8:
		return "well"
	case s.Heard >= 0.3: // below it the coach does not go by the cadence
		return "fairly"
	case !(s.Heard >= 0):
		return ""
	}
	return "badly: move the microphone closer, or out of the wind"
}

func (s *Snapshot) cue(g *glyphs) line {
	if s.Said == "" {
		return line{label("Said"), {"nothing yet", faint}}
	}
	return line{label("Said"), {g.clean(s.Said), strong}, {"  " + ago(s.Time, s.SaidAt), faint}}
}

func (s *Snapshot) beat(g *glyphs) line {
	words := "off"
	look := plain
	switch {
	case s.Beat.Playing:
		words = strings.TrimSpace("on  " + g.clean(s.Beat.Mode))
		look = strong
		if s.Beat.Level < -0.5 && s.Beat.Level > -100 {
			words += fmt.Sprintf(", %.0f dB", s.Beat.Level)
		}
	case s.Beat.On:
		words = strings.TrimSpace("silent now  " + g.clean(s.Beat.Mode))
	}
	volume := g.dot + "volume " + percent(s.Volume)
	if s.Volume == 0 {
		volume = g.dot + "no sound"
	}
	return line{label("Beat"), {words, look}, {volume, plain}}
}

// group tells how the leader is reached, and how the feet meet the common beat.
func (s *Snapshot) group(g *glyphs) line {
	l := line{label("Group"), {g.clean(s.Group.Name), plain}}
	if s.Group.Lost {
		l = append(l, span{g.dot + "leader out of reach, the beat goes on", strong})
	}
	if c := s.Group.Clock; known(c) {
		l = append(l, span{fmt.Sprintf("%sclock %s%.1f ms", g.dot, g.plusMinus, c), faint})
	}
	if s.Group.Steps == 0 || !(math.Abs(s.Group.Off) <= 1000) {
		return l
	}
	side := "after"
	if s.Group.Off < 0 {
		side = "before"
	}
	return append(l, span{fmt.Sprintf("%ssteps %.0f ms %s the beat, R %.2f", g.dot, math.Abs(s.Group.Off), side, s.Group.R), plain})
}

// evenness tells how far left and right step times are apart.
func (s *Snapshot) evenness(g *glyphs) line {
	if !s.judged() || s.Unevenness == 0 || !(math.Abs(s.Unevenness) <= 100) {
		return line{label("Steps"), {g.dash, faint}}
	}
	side := "right"
	if s.Unevenness < 0 {
		side = "left"
	}
	if math.Abs(s.Unevenness) < 0.05 {
		return line{label("Steps"), {"even", plain}}
	}
	return line{label("Steps"), {fmt.Sprintf("%s %.1f %% longer in time", side, math.Abs(s.Unevenness)), plain}}
}
