package hub

import (
	"net/http"
	"strings"
	"sync"
	"time"

	"steadfoot/coach/group"
)

// Limits that nobody needs to choose.
const (
	boardEvery = 500 * time.Millisecond // between two boards
	maxIdle    = 30.0                   // s without a message, after which a connection ends
	maxToJoin  = 10.0                   // s until the word or the key must have come
	maxWrite   = 10.0                   // s a write may take
	maxBoards  = 32                     // boards and spares at once
)

// Hub is safe for use by several goroutines.
type Hub struct {
	o      Options
	src    group.Source
	pages  http.Handler
	words  guesses // tries of the word, by address
	keys   guesses // tries of the key
	crowd  crowd   // connections, by address
	ending chan struct{}
	done   sync.WaitGroup // the run loop and all connections

	mu     sync.Mutex
	closed bool
	peers  map[*peer]struct{} // all connections, joined or not
	seats  seats
	groups []groupMap // by the order of Source.Maps
	boards map[*peer]*boarder
	spares []*peer // those of boards that are spares, in the order they came
}

// groupMap is the map of a group, and the message that carries it.
type groupMap struct {
	group.Map
	message []byte
}

// New returns a hub that serves until Close.
func New(o Options) (*Hub, error) {
	if err := o.fill(); err != nil {
		return nil, err
	}
	h := &Hub{
		o:      o,
		src:    o.Source,
		pages:  safePages(o.Pages),
		crowd:  newCrowd(o.PerAddress),
		ending: make(chan struct{}),
		peers:  map[*peer]struct{}{},
		boards: map[*peer]*boarder{},
		seats:  newSeats(o.MaxMembers),
	}
	changed := h.src.Changed()
	h.push()
	h.done.Add(1)
	go h.run(changed)
	return h, nil
}

// ServeHTTP implements http.Handler.
func (h *Hub) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	switch {
	case r.URL.Path == "/member":
		h.serveMember(w, r)
	case r.URL.Path == "/board" && isSocket(r):
		h.serveBoard(w, r)
	default:
		h.pages.ServeHTTP(w, r)
	}
}

// isSocket tells the socket of the board from its page, which has the same address.
func isSocket(r *http.Request) bool {
	return strings.EqualFold(r.Header.Get("Upgrade"), "websocket")
}

// run passes on what changes, and looks after the connections.
func (h *Hub) run(changed <-chan struct{}) {
	defer h.done.Done()
	tick := time.NewTicker(boardEvery)
	defer tick.Stop()
	for n := 0; ; {
		select {
		case <-changed:
			changed = h.src.Changed() // before the maps are read, or a change is missed
			h.push()
			h.sendPast()
		case <-tick.C:
			h.sweep()
			h.sendPast()
			h.showBoards()
			if n++; n%2 == 0 {
				h.src.Report(h.Walkers())
			}
		case <-h.ending:
			return
		}
	}
}

// push sends each member the map of its group, if that has changed.
func (h *Hub) push() {
	maps := h.src.Maps()
	h.mu.Lock()
	defer h.mu.Unlock()
	old := h.groups
	h.groups = make([]groupMap, len(maps))
	for i, m := range maps {
		if i < len(old) && old[i].Group == m.Group && old[i].Term == m.Term && old[i].Seq == m.Seq {
			h.groups[i] = old[i]
			continue
		}
		h.groups[i] = groupMap{m, encode(group.Changed{Kind: group.KindMap, Map: m})}
		for _, w := range h.seats.rows {
			if w.peer != nil && h.groupOf(w) == m.Group {
				w.peer.show(h.groups[i].message)
			}
		}
		for _, p := range h.spares {
			p.send(h.groups[i].message)
		}
	}
}

// groupOf returns the group a walker walks with: its own, or the first one when
// that is not known here. h.mu is held.
func (h *Hub) groupOf(w *walker) string {
	if _, ok := h.find(w.Group); !ok && len(h.groups) > 0 {
		return h.groups[0].Group
	}
	return w.Group
}

// find returns a group; "" is the first one. h.mu is held.
func (h *Hub) find(name string) (groupMap, bool) {
	for _, g := range h.groups {
		if g.Group == name || name == "" {
			return g, true
		}
	}
	return groupMap{}, false
}

// sweep ends connections that are silent or stuck.
func (h *Hub) sweep() {
	now := h.src.Now()
	h.mu.Lock()
	defer h.mu.Unlock()
	for p := range h.peers {
		switch {
		case p.stuck(now):
			p.raw.Close()
		case now-p.heard() > maxIdle:
			p.end(group.Sorry{Why: "nothing was heard for 30 s: join again"})
		case !p.in.Load() && now-p.since > maxToJoin:
			p.end(group.Sorry{Why: "nobody joined: begin with the word"})
		}
	}
}

// Close tells everybody that the leader goes, and returns when no goroutine of
// the hub is left, a second or so later.
func (h *Hub) Close() {
	h.mu.Lock()
	first := !h.closed
	h.closed = true
	for p := range h.peers {
		p.end(group.Sorry{Code: group.SorryEnding, Why: "the leader has ended the group"})
	}
	h.mu.Unlock()
	if first {
		close(h.ending)
	}
	late := time.AfterFunc(time.Second, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		for p := range h.peers {
			p.raw.Close()
		}
	})
	h.done.Wait()
	late.Stop()
}
