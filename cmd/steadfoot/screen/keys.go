package screen

import "steadfoot/coach/event"

// Wishes are what the keys ask for. The functions are called in goroutines of
// the screen and must not wait; false says that the wish was not taken. A nil
// one takes nothing.
type Wishes struct {
	Mark   func(event.Mark) bool // all of a Mark but its time
	Volume func(steps int) bool  // louder or softer by so many steps
	End    func()                // the walk is to end; called once, when the terminal is as it was
}

func (w *Wishes) mark(m event.Mark) bool { return w.Mark != nil && w.Mark(m) }
func (w *Wishes) volume(steps int) bool  { return w.Volume != nil && w.Volume(steps) }

// wish is what a key asks for during a walk: a mark, or another volume.
type wish struct {
	keys   []string // as Bubble Tea names them
	shown  string   // in the help
	what   string   // in the help
	mark   func(*Snapshot) event.Mark
	volume int
}

var wishes = []wish{
	{keys: []string{"space", "enter"}, shown: "Space or Enter", mark: always(event.MarkLap, 0),
		what: "mark a lap, when you cross the line"},
	{keys: []string{"n", "N"}, shown: "N", mark: always(event.MarkSkip, 0),
		what: "end this part of the session, or 'ready' in a recovery"},
	{keys: []string{"p", "P"}, shown: "P", mark: pauseOrResume,
		what: "pause the session, or go on with it"},
	{keys: []string{"up"}, shown: "Up", mark: always(event.MarkTarget, 1),
		what: "target up by 1 step/min"},
	{keys: []string{"down"}, shown: "Down", mark: always(event.MarkTarget, -1),
		what: "target down by 1 step/min"},
	{keys: []string{"+", "="}, shown: "+", volume: 1,
		what: "all sound louder"},
	{keys: []string{"-", "_"}, shown: "-", volume: -1,
		what: "all sound softer"},
	{keys: []string{"b", "B"}, shown: "B", mark: beatOnOrOff,
		what: "the beat off, or on again"},
}

func always(name string, value float64) func(*Snapshot) event.Mark {
	return func(*Snapshot) event.Mark { return event.Mark{Name: name, Value: value} }
}

func pauseOrResume(s *Snapshot) event.Mark {
	if s.Paused {
		return event.Mark{Name: event.MarkResume}
	}
	return event.Mark{Name: event.MarkPause}
}

func beatOnOrOff(s *Snapshot) event.Mark {
	if s.Beat.On {
		return event.Mark{Name: event.MarkBeatOff}
	}
	return event.Mark{Name: event.MarkBeatOn}
}

// ask returns what passes the wish on, and a word about it.
func (w *wish) ask(s *Snapshot, to *Wishes) (pass func() bool, note string) {
	if w.mark == nil {
		return func() bool { return to.volume(w.volume) }, w.what
	}
	m := w.mark(s)
	note = m.Name
	switch m.Name {
	case event.MarkSkip:
		note = "next part"
	case event.MarkTarget:
		note = w.what
	}
	return func() bool { return to.mark(m) }, note
}

// find returns what a key asks for, nil when it asks for nothing.
func find(key string) *wish {
	for i := range wishes {
		for _, k := range wishes[i].keys {
			if k == key {
				return &wishes[i]
			}
		}
	}
	return nil
}

// keyLine is the last line of the screen; the words least needed fall off its
// end on a narrow one.
func keyLine(g *glyphs, w int) line {
	items := [][2]string{
		{"Space", "lap"}, {"?", "help"}, {"P", "pause"}, {"N", "next"}, {"Q", "end"},
		{"B", "beat"}, {"+-", "sound"}, {g.arrowsUpDown, "target"},
	}
	var l line
	for _, it := range items {
		next := append(l[:len(l):len(l)], span{it[0], strong}, span{" " + it[1] + "  ", faint})
		if next.width()-2 > w {
			break
		}
		l = next
	}
	return l
}

// help is the page that explains the keys.
func help(s *Snapshot, g *glyphs, w, h int) block {
	out := block{s.head(g, w), s.badge(g, w), nil}
	for _, k := range wishes {
		out = append(out, helpLine(k.shown, k.what))
	}
	return append(out,
		helpLine("Q, then Y", "end the walk"),
		helpLine("Ctrl-C", "end the walk at once"),
		nil,
		say(strong, "any key goes back"),
	)[:min(h, len(wishes)+7)]
}

func helpLine(key, what string) line {
	return line{{pad(key, 15), strong}, {what, plain}}
}

func pad(s string, n int) string {
	for len(s) < n {
		s += " "
	}
	return s
}
