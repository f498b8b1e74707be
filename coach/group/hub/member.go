package hub

import (
	"fmt"
	"math"
	"net/http"

	"steadfoot/coach/group"
)

// serveMember is the whole life of a member's connection.
func (h *Hub) serveMember(w http.ResponseWriter, r *http.Request) {
	p := h.accept(w, r)
	if p == nil {
		return
	}
	defer h.leave(p)
	b, _, ok := p.read()
	if !ok {
		return
	}
	m, err := group.DecodeMember(b)
	j, isJoin := m.(group.Join)
	if err != nil || !isJoin {
		p.end(bad("begin with join"))
		p.drain()
		return
	}
	walker, sorry := h.join(p, j)
	if walker == nil {
		p.end(sorry)
		p.drain()
		return
	}
	defer h.away(walker, p)
	for {
		b, now, ok := p.read()
		if !ok {
			return
		}
		m, err := group.DecodeMember(b)
		if err != nil {
			p.end(bad(err.Error()))
			continue
		}
		if ping, ok := m.(group.Ping); ok && ping.Check() == nil {
			p.send(group.Pong{Kind: group.KindPong, N: ping.N, T1: ping.T1, T2: now, Spread: h.src.Spread()})
			continue
		}
		if sorry := h.told(walker, m, now); sorry.Why != "" {
			p.end(sorry)
		}
		if _, leaves := m.(group.Leave); leaves {
			return
		}
	}
}

// join gives the one at p a seat and the map, or says why not.
func (h *Hub) join(p *peer, j group.Join) (*walker, group.Sorry) {
	if err := j.Check(); err != nil {
		code := group.SorryBad
		if j.Version != group.Version {
			code = group.SorryVersion
		}
		return nil, group.Sorry{Code: code, Why: err.Error()}
	}
	now := h.src.Now()
	if sorry := h.admits(p, j, now); sorry.Why != "" {
		return nil, sorry
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	w, sorry := h.seat(j)
	if w == nil {
		return nil, sorry
	}
	if w.peer != nil {
		w.peer.end(group.Sorry{Code: group.SorryElsewhere, Why: "you have joined again from another page or program"})
	}
	w.peer, w.Here, w.Seen = p, true, now
	withdrawn := w.Agreed && !j.Agree
	w.Agreed, w.Way = j.Agree, group.CleanName(j.Way)
	if withdrawn {
		h.o.Stored(w.Walker, nil)
	}
	p.in.Store(true)
	g, _ := h.find(h.groupOf(w))
	p.send(encode(group.Welcome{
		Kind: group.KindWelcome, ID: w.ID, Seat: w.seat, Name: w.Name,
		Groups: h.groupNames(), Map: g.Map,
	}))
	return w, group.Sorry{}
}

// admits tests the word. Who has a seat had the word once, so that the wrong
// tries of others behind the same address do not keep a walker out.
func (h *Hub) admits(p *peer, j group.Join, now float64) group.Sorry {
	h.mu.Lock()
	known := h.seats.bySeat[j.Seat] != nil
	h.mu.Unlock()
	if known && equal(j.Word, h.o.Word) {
		return group.Sorry{}
	}
	right, wait := h.words.try(p.address, j.Word, h.o.Word, now)
	return refusal(right, wait, "the word is not right: ask who leads the group")
}

// refusal is the answer to a try of a secret.
func refusal(right bool, wait float64, why string) group.Sorry {
	switch {
	case right:
		return group.Sorry{}
	case wait > 0:
		return group.Sorry{Code: group.SorryRate, Why: fmt.Sprintf("too many wrong tries: wait %.0f s", math.Ceil(wait))}
	}
	return group.Sorry{Code: group.SorryWord, Why: why}
}

// seat returns the walker of a seat, or a new one. h.mu is held.
func (h *Hub) seat(j group.Join) (*walker, group.Sorry) {
	if len(h.groups) == 0 {
		return nil, group.Sorry{Why: "no group is known here yet: try again in a moment"}
	}
	name := group.CleanName(j.Name)
	if w := h.seats.bySeat[j.Seat]; w != nil {
		if w.removed {
			return nil, group.Sorry{Code: group.SorryRemoved, Why: "the coach has ended your part"}
		}
		h.seats.name(w, name)
		return w, group.Sorry{}
	}
	g, ok := h.find(group.CleanName(j.Group))
	if !ok {
		return nil, bad(fmt.Sprintf("there is no group %q: leave it out, or ask who leads", group.CleanName(j.Group)))
	}
	w := h.seats.take(name)
	if w == nil {
		return nil, group.Sorry{Code: group.SorryFull, Why: fmt.Sprintf("all %d places are taken", h.o.MaxMembers)}
	}
	w.Group = g.Group
	return w, group.Sorry{}
}

func (h *Hub) groupNames() []string {
	names := make([]string, len(h.groups))
	for i, g := range h.groups {
		names[i] = g.Group
	}
	return names
}

// away notes that a walker is no longer connected by p.
func (h *Hub) away(w *walker, p *peer) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if w.peer == p {
		w.peer, w.Here, w.Seen, w.Faded = nil, false, p.heard(), 0
	}
}

// drain reads until the other side has closed, so that the last word arrives.
func (p *peer) drain() {
	for {
		if _, _, ok := p.read(); !ok {
			return
		}
	}
}
