package hub

import (
	"context"
	"fmt"

	"steadfoot/coach/group"
)

// seatCommand moves or removes a walker. One of another hub is left to that.
func (h *Hub) seatCommand(ctx context.Context, c group.Command) error {
	h.mu.Lock()
	w := h.seats.byID[c.Walker]
	if w != nil && !w.removed {
		defer h.mu.Unlock()
		if c.Do == group.DoRemove {
			h.remove(w)
			return nil
		}
		return h.move(w, c.Group)
	}
	h.mu.Unlock()
	for _, o := range h.src.Others() {
		if o.ID == c.Walker {
			return h.ask(ctx, c)
		}
	}
	for _, o := range h.Elsewhere() {
		if o.ID == c.Walker {
			return fmt.Errorf("%s is at the hub %s: use the board there", o.Name, o.Hub)
		}
	}
	return fmt.Errorf("no walker %.20q is here", c.Walker)
}

// move puts w into another group. h.mu is held.
func (h *Hub) move(w *walker, to string) error {
	g, ok := h.find(to)
	if !ok {
		return fmt.Errorf("there is no group %q", to)
	}
	w.Group, w.Faded = g.Group, 0
	if w.peer != nil {
		w.peer.show(g.message)
	}
	return nil
}

// remove sends w away. The seat is not given back, and is the first to make room.
// h.mu is held.
func (h *Hub) remove(w *walker) {
	w.removed, w.Here, w.Seen = true, false, 0
	if w.peer != nil {
		w.peer.end(group.Sorry{Code: group.SorryRemoved, Why: "the coach has ended your part"})
		w.peer = nil
	}
}
