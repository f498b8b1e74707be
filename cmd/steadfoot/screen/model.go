package screen

import (
	"time"

	tea "charm.land/bubbletea/v2"
)

const (
	frames    = 10          // a second
	patience  = 10 * frames // frames that a question waits for its answer
	noteStays = 2 * frames  // frames that the answer to a key is shown
	frame     = time.Second / frames
	question  = "End this walk?  Y ends it, any other key goes on."
	refusal   = "not taken: the walk is busy, press again"
	noKeys    = "Ctrl-C ends the walk"
)

// page is what fills the screen.
type page uint8

const (
	pageCaution page = iota + 1
	pageWalk
	pageHelp
	pageSure // the walk, and the question whether it is to end
)

// Model is the screen as a value: its Update and View change nothing outside,
// but for the commands that Update returns. It is a tea.Model.
type Model struct {
	snap    Snapshot
	g       *glyphs
	w, h    int
	page    page
	caution string
	deaf    bool // no keys come
	note    string
	noteFor int // frames
	sureFor int // frames
	ended   bool
	wishes  *Wishes
	latest  func() Snapshot
	text    string // what View shows
}

// newModel makes the model of a screen. latest returns the walk as it is now.
func newModel(o Options, latest func() Snapshot) Model {
	m := Model{g: &blockGlyphs, w: 80, h: 24, page: pageWalk, caution: o.Caution, deaf: o.In == nil, wishes: &o.Wishes, latest: latest}
	if o.ASCII {
		m.g = &asciiGlyphs
	}
	if o.Caution != "" && !m.deaf {
		m.page = pageCaution
	}
	m.text = m.draw()
	return m
}

// tick is one frame: the walk as it is now.
type tick Snapshot

// refused says that the walk did not take a wish.
type refused struct{}

// next waits for the next frame.
func (m Model) next() tea.Cmd {
	latest := m.latest
	return tea.Tick(frame, func(time.Time) tea.Msg { return tick(latest()) })
}

// Init implements tea.Model.
func (m Model) Init() tea.Cmd { return m.next() }

// Update implements tea.Model.
func (m Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case tick:
		if !m.frame(Snapshot(msg)) {
			return m, m.next()
		}
		cmd = m.next()
	case tea.WindowSizeMsg:
		m.w, m.h = max(0, msg.Width), max(0, msg.Height)
	case tea.KeyPressMsg:
		cmd = m.key(msg.String())
	case refused:
		m.say(refusal)
	default:
		return m, nil
	}
	m.text = m.draw()
	return m, cmd
}

// frame takes in the walk as it is now and tells whether anything has changed.
func (m *Model) frame(s Snapshot) bool {
	changed := s != m.snap
	m.snap = s
	if m.noteFor > 0 {
		if m.noteFor--; m.noteFor == 0 {
			m.note, changed = "", true
		}
	}
	if m.page == pageSure {
		if m.sureFor--; m.sureFor == 0 {
			m.page, changed = pageWalk, true
		}
	}
	return changed
}

func (m *Model) say(note string) { m.note, m.noteFor = note, noteStays }

// key answers one key press.
func (m *Model) key(k string) tea.Cmd {
	switch {
	case k == "ctrl+c", m.page == pageSure && (k == "y" || k == "Y"):
		m.ended = true
		return tea.Quit
	case m.page != pageWalk: // any other key
		m.page = pageWalk
	case k == "q" || k == "Q":
		m.page, m.sureFor = pageSure, patience
	case k == "?" || k == "h" || k == "H":
		m.page = pageHelp
	default:
		return m.wish(k)
	}
	return nil
}

// wish asks the walk for what k stands for.
func (m *Model) wish(k string) tea.Cmd {
	w := find(k)
	if w == nil {
		return nil
	}
	pass, note := w.ask(&m.snap, m.wishes)
	m.say(note)
	return func() tea.Msg {
		if !pass() {
			return refused{}
		}
		return nil
	}
}

// draw makes the text of the screen.
func (m *Model) draw() string {
	if m.w < 1 || m.h < 1 {
		return ""
	}
	keys := keyLine(m.g, m.w)
	if m.deaf {
		keys = say(faint, noKeys)
	}
	switch m.page {
	case pageCaution:
		return cautionPage(m.g, m.caution, m.w).render(m.w, m.h)
	case pageHelp:
		return help(&m.snap, m.g, m.w, m.h).render(m.w, m.h)
	}
	walk := m.snap.draw(m.g, m.w, m.h, m.note, keys)
	if m.page == pageSure && len(walk) > 0 {
		walk[len(walk)-1] = say(alarm, question)
	}
	return walk.render(m.w, m.h)
}

// View implements tea.Model.
func (m Model) View() tea.View {
	v := tea.NewView(m.text)
	v.AltScreen = true
	v.DisableBracketedPasteMode = true // nothing is typed here
	return v
}
