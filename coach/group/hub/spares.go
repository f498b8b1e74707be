package hub

import (
	"slices"

	"steadfoot/coach/group"
)

// sparing is a source whose maps can tell where the spares are.
type sparing interface{ SetSpares([]string) }

// following is a source that may follow another hub.
type following interface {
	// Leader is where the hub that leads is, and for how long it was not heard, s; ""
	// and 0 where that is this one.
	Leader() (address string, silent float64)
}

// sharing is a source whose groups other hubs have as well, at those hosts.
type sharing interface{ Hosts() []string }

// addSpare counts the one at p among the spares, and gives it the maps, of which
// it gets each change as well. h.mu is held.
func (h *Hub) addSpare(p *peer, at string) {
	h.boards[p].spare = at
	h.spares = append(h.spares, p)
	for _, g := range h.groups {
		p.send(g.message)
	}
	h.nameSpares()
}

// dropSpare takes the one at p out of the spares, if it is one. h.mu is held.
func (h *Hub) dropSpare(p *peer) {
	if h.boards[p].spare == "" {
		return
	}
	h.spares = slices.DeleteFunc(h.spares, func(s *peer) bool { return s == p })
	if !h.closed { // the members of a leader who goes will need them
		h.nameSpares()
	}
}

// nameSpares tells the source where the spares are, in the order they came. h.mu
// is held.
func (h *Hub) nameSpares() {
	s, ok := h.src.(sparing)
	if !ok {
		return
	}
	var at []string
	for _, p := range h.spares {
		if a := h.boards[p].spare; !slices.Contains(at, a) { // one that came back before its end was seen
			at = append(at, a)
		}
	}
	s.SetSpares(at)
}

// sendPast sends each spare the commands it does not have yet: all of them the
// first time, and when the term is another one.
func (h *Hub) sendPast() {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.spares) == 0 {
		return
	}
	term, past := h.src.Past()
	for _, p := range h.spares {
		b := h.boards[p]
		from := b.sent
		if b.term != term || from > len(past) {
			from = 0
		}
		if b.term == term && from == len(past) {
			continue
		}
		b.term, b.sent = term, len(past)
		p.send(encode(group.Past{Kind: group.KindPast, Term: term, From: from, Commands: past[from:], Word: h.o.Word}))
	}
}

// spareRows keeps the walkers of the spare at p for the boards. Those of one that is
// no spare count for nothing.
func (h *Hub) spareRows(p *peer, r group.Rows) {
	h.mu.Lock()
	defer h.mu.Unlock()
	b := h.boards[p]
	if b.spare == "" {
		return
	}
	for i := range r.Walkers {
		r.Walkers[i].Hub = group.HostOf(b.spare)
	}
	if len(b.rows) != r.Pages {
		b.rows = make([][]group.Walker, r.Pages)
	}
	b.rows[r.Page] = r.Walkers
}

// Elsewhere returns the walkers at other hubs: at the spares, and those the source
// knows of.
func (h *Hub) Elsewhere() []group.Walker {
	all := h.src.Others()
	h.mu.Lock()
	defer h.mu.Unlock()
	told := map[string]bool{}
	for _, p := range slices.Backward(h.spares) { // one may have come back before its end was seen
		if b := h.boards[p]; !told[b.spare] {
			told[b.spare] = true
			all = append(all, slices.Concat(b.rows...)...)
		}
	}
	return all
}
