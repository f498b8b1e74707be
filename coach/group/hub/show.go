package hub

import "steadfoot/coach/group"

// Walkers returns the rows of this hub's walkers, in the order they came.
func (h *Hub) Walkers() []group.Walker {
	h.mu.Lock()
	defer h.mu.Unlock()
	rows := make([]group.Walker, 0, len(h.seats.rows))
	for _, w := range h.seats.rows {
		if !w.removed {
			rows = append(rows, w.Walker)
		}
	}
	return rows
}

// showBoards sends each board the present state, encoded once.
func (h *Hub) showBoards() {
	h.mu.Lock()
	n := len(h.boards)
	h.mu.Unlock()
	if n == 0 {
		return
	}
	m := group.Board{
		Kind:    group.KindBoard,
		Now:     h.src.Now(),
		Spread:  h.src.Spread(),
		Leads:   h.src.Leads(),
		Groups:  h.src.Maps(),
		Walkers: append(h.Walkers(), h.Elsewhere()...),
		Address: h.o.Address,
		Hosts:   h.o.Hosts,
	}
	if s, ok := h.src.(following); ok {
		m.Leader, m.Silent = s.Leader()
	}
	b := encode(m)
	h.mu.Lock()
	defer h.mu.Unlock()
	for p := range h.boards {
		p.show(b)
	}
}
