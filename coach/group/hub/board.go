package hub

import (
	"context"
	"net/http"
	"time"

	"steadfoot/coach/group"
)

// boarder is one who has the key: a board, or a spare.
type boarder struct {
	spare string           // its address; "" for a board
	sent  int              // commands of the past it has
	term  int              // of those; -1 before the first
	rows  [][]group.Walker // of a spare: its own walkers, in pages
}

// serveBoard is the whole life of a board's connection.
func (h *Hub) serveBoard(w http.ResponseWriter, r *http.Request) {
	p := h.accept(w, r)
	if p == nil {
		return
	}
	defer h.leave(p)
	b, _, ok := p.read()
	if !ok {
		return
	}
	key, sorry := h.unlock(p, b)
	if sorry.Why != "" {
		p.end(sorry)
		p.drain()
		return
	}
	defer h.boardGone(p)
	if key.Term > 0 && h.o.Outranked != nil {
		h.o.Outranked(key.Term, key.Spare)
	}
	h.sendPast()
	h.showBoards()
	h.talkToBoard(p)
}

// talkToBoard answers what a board sends until it goes.
func (h *Hub) talkToBoard(p *peer) {
	for {
		b, now, ok := p.read()
		if !ok {
			return
		}
		switch m, err := group.DecodeBoard(b); m := m.(type) {
		case group.Ping:
			if err := m.Check(); err != nil {
				p.end(bad(err.Error()))
				continue
			}
			p.send(group.Pong{Kind: group.KindPong, N: m.N, T1: m.T1, T2: now, Spread: h.src.Spread()})
		case group.Rows:
			if err := m.Check(); err != nil {
				p.end(bad(err.Error()))
				continue
			}
			h.spareRows(p, m)
		case group.Command:
			done := group.Done{Kind: group.KindDone, N: m.N}
			if err := h.Command(context.Background(), m); err != nil {
				done.Why = err.Error()
			}
			p.send(encode(done))
		default:
			why := "the key was given already"
			if err != nil {
				why = err.Error()
			}
			p.end(bad(why))
		}
	}
}

// unlock tests the key in the first message of a board.
func (h *Hub) unlock(p *peer, b []byte) (group.Key, group.Sorry) {
	m, err := group.DecodeBoard(b)
	k, isKey := m.(group.Key)
	if err != nil || !isKey {
		return k, bad("begin with the key")
	}
	if err := k.Check(); err != nil {
		code := group.SorryBad
		if k.Version != group.Version {
			code = group.SorryVersion
		}
		return k, group.Sorry{Code: code, Why: err.Error()}
	}
	right, wait := h.keys.try(p.address, k.Key, h.o.Key, h.src.Now())
	if h.o.Key == "" { // after the try, so that nobody learns it for nothing
		right = false
	}
	if sorry := refusal(right, wait, "the key is not right: the leader's screen shows it"); sorry.Why != "" {
		return k, sorry
	}
	if k.Spare != "" && k.Term == 0 && h.o.Outranked == nil {
		return k, bad("this hub takes no spares: its groups are on a bus; stand by there")
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.boards) >= maxBoards {
		return k, group.Sorry{Code: group.SorryFull, Why: "too many boards are open: close one"}
	}
	p.in.Store(true)
	p.conn.SetReadLimit(group.MaxCommand)
	h.boards[p] = &boarder{term: -1}
	if k.Spare != "" && k.Term == 0 {
		h.addSpare(p, k.Spare)
	}
	return k, group.Sorry{}
}

// boardGone forgets a board.
func (h *Hub) boardGone(p *peer) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.dropSpare(p)
	delete(h.boards, p)
}

// Command does what a board's command does, for those who lead from this
// program. The error is one line for a person.
func (h *Hub) Command(ctx context.Context, c group.Command) error {
	if err := c.Check(); err != nil {
		return err
	}
	c.Kind, c.T = "", 0 // the leader sets when
	if c.Do == group.DoMove || c.Do == group.DoRemove {
		return h.seatCommand(ctx, c)
	}
	return h.ask(ctx, c)
}

// ask has a command done by who conducts.
func (h *Hub) ask(ctx context.Context, c group.Command) error {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	return h.src.Command(ctx, c)
}
