package member

import (
	"strings"
	"unicode"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/coach/group/clock"
)

// What of a map is believed.
const (
	mostPieces = 10000 // of the beat
	mostSays   = 1000  // announcements
	mostSpares = 16    //
	mostText   = 300   // runes of a text
	catchUp    = 4.0   // s: how long a hub may take to hear of a new leader
	holdAhead  = 3.0   // s: a beat that comes within it plays; more than there is between two pings
)

// welcomed takes in that the hub has let the member in.
func (m *Member) welcomed(w group.Welcome, url string) {
	w.Name, w.ID = plain(w.Name), plain(w.ID)
	w.Groups = w.Groups[:min(len(w.Groups), group.MaxGroups)]
	for i := range w.Groups {
		w.Groups[i] = plain(w.Groups[i])
	}
	first := w.Map
	w.Map = group.Map{}
	m.mu.Lock()
	m.welcome = w
	if m.seats == nil {
		m.seats = map[string]string{}
	}
	m.seats[url] = w.Seat
	m.mu.Unlock()
	m.takeMap(first, url)
}

// joined tells that there is a hub.
func (m *Member) joined() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.connected = true
	if m.o.Key != "" && !m.beats && m.o.Least == 0 {
		m.trusted = true // the clock of a leader without groups is known as well
	}
	m.tellChange()
}

// takeMap takes a map that is newer than the present one. A hub with an older one
// keeps the clock from another time, perhaps: it is not believed until it has
// caught up.
func (m *Member) takeMap(n group.Map, url string) {
	tidy(&n)
	m.mu.Lock()
	defer m.mu.Unlock()
	same := m.beats && n.Group == m.beat.Group
	switch {
	case n.Term < max(m.beat.Term, m.o.Least):
		m.trusted = false
		if m.older == 0 {
			m.older = m.o.Clock()
		}
		return
	case same && m.beat.Newer(n):
		m.trusted = false
		return
	case !same || n.Newer(m.beat):
		m.beat, m.beats = n, true
		m.tellChange()
	}
	m.trusted, m.older = true, 0
	if m.url != "" && (m.url != url || m.term != n.Term) {
		m.clock.Moved()
	}
	m.url, m.term = url, n.Term
	m.hold()
}

// leftBehind tells whether another hub is to be looked for, as this one does not
// hear of the present leader.
func (m *Member) leftBehind() bool {
	others := len(m.hubs()) > 1
	m.mu.Lock()
	defer m.mu.Unlock()
	return others && m.older > 0 && m.o.Clock() > m.older+catchUp
}

// exchanged takes in an exchange of the clock and tells whether it was slow.
func (m *Member) exchanged(e clock.Exchange) (slow bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !m.trusted {
		return false
	}
	known := m.known
	m.asked++
	m.delay = m.best.Add(e).Delay()
	jumped := m.clock.Add(e)
	if jumped {
		m.jumps++
	}
	if m.clock.Known() && (m.asked >= patience || m.clock.Spread(e.T4).Guess <= good) {
		m.known = true
	}
	m.hold()
	if jumped || known != m.known {
		m.tellChange()
	}
	return e.Delay() > 2*m.delay+slowness
}

// hold keeps group time from stepping when a beat plays or is about to. m.mu is
// held.
func (m *Member) hold() {
	if !m.known || !m.beats {
		return
	}
	if m.o.Key != "" { // the beats of any group may play, and those of others that are here
		m.clock.Hold()
		return
	}
	now := m.clock.Group(m.o.Clock())
	for i, p := range m.beat.Beat {
		begun := p.Start <= now+holdAhead
		over := i+1 < len(m.beat.Beat) && m.beat.Beat[i+1].Start <= now
		if begun && !over && p.Period > 0 {
			m.clock.Hold()
			return
		}
	}
}

// tidy takes out of a map what no leader puts there.
func tidy(m *group.Map) {
	m.Beat = m.Beat[:min(len(m.Beat), mostPieces)]
	m.Says = m.Says[:min(len(m.Says), mostSays)]
	m.Spares = m.Spares[:min(len(m.Spares), mostSpares)]
	for _, s := range []*string{&m.Group, &m.State, &m.Session, &m.Target.Reason, &m.Coming.Reason} {
		*s = plain(*s)
	}
	for _, p := range []*event.Part{&m.Part, &m.Next} {
		p.Role, p.Label = plain(p.Role), plain(p.Label)
	}
	for i := range m.Says {
		s := &m.Says[i]
		s.Name, s.Reason, s.Line = plain(s.Name), plain(s.Reason), plain(s.Line)
	}
	for i := range m.Spares {
		m.Spares[i] = group.CleanAddress(m.Spares[i])
	}
}

// plain is a text without what could drive a terminal.
func plain(s string) string {
	n := 0
	return strings.Map(func(r rune) rune {
		if n++; n > mostText || !unicode.IsGraphic(r) {
			return -1
		}
		return r
	}, s)
}
