package hub

import (
	"steadfoot/coach/event"
	"steadfoot/coach/group"
	"steadfoot/detect"
)

// told takes what a member tells of its walker at group time now, s. The Sorry
// says what was wrong with it; Why is empty when nothing was.
func (h *Hub) told(w *walker, m any, now float64) group.Sorry {
	switch m := m.(type) {
	case group.Status:
		if err := m.Check(now); err != nil {
			return bad(err.Error())
		}
		h.status(w, m, now)
	case group.Steps:
		if err := m.Check(now); err != nil {
			return bad(err.Error())
		}
		return h.stepped(w, m, now)
	case group.Ping:
		return bad(m.Check().Error())
	case group.Leave:
	default:
		return bad("a member joins once")
	}
	return group.Sorry{}
}

// status keeps the newest status of w.
func (h *Hub) status(w *walker, s group.Status, now float64) {
	if s.Clock == 0 { // it cannot know these yet
		s.At, s.Off, s.R, s.N = now, 0, 0, 0
	}
	s.Kind = ""
	h.mu.Lock()
	if s.At < w.Last.At {
		h.mu.Unlock()
		return
	}
	g, _ := h.find(h.groupOf(w))
	w.Last, w.Seen = s, now
	w.Faded = faded(w.Faded, s, g.Map)
	row := w.Walker
	h.mu.Unlock()
	if row.Agreed {
		h.o.Stored(row, []event.Event{rhythm(s)})
	}
}

// faded returns since when the cadence has been below the band or sinking, s; 0
// when it is not. was is what it returned before.
func faded(was float64, s group.Status, m group.Map) float64 {
	walks := m.State == group.Walking && m.Target.Cadence > 0 && s.Hears == group.HearsWalking
	low := s.Fading || s.Cadence > 0 && s.Cadence < m.Target.Low
	switch {
	case !walks || !low:
		return 0
	case was == 0:
		return s.At
	}
	return was
}

// rhythm is a status as the log has it.
func rhythm(s group.Status) event.Rhythm {
	state := detect.NotWalking
	switch s.Hears {
	case group.HearsWalking:
		state = detect.Walking
	case group.HearsDeaf, group.HearsNothing:
		state = detect.CannotHear
	}
	return event.Rhythm{
		Rhythm: detect.Rhythm{T: s.At, State: state, Cadence: s.Cadence, CadenceSD: s.SD, Unevenness: s.Uneven},
		Pace:   s.Pace,
	}
}

// stepped passes on the steps of w that were not told before.
func (h *Hub) stepped(w *walker, m group.Steps, now float64) group.Sorry {
	if !w.steps.AllowN(instant(now), len(m.Steps)) {
		return group.Sorry{Code: group.SorryRate, Why: "more steps than anyone takes"}
	}
	h.mu.Lock()
	w.Seen = now
	var fresh []event.Event
	for _, s := range m.Steps {
		if s.T > w.step {
			w.step = s.T
			fresh = append(fresh, s)
		}
	}
	row := w.Walker
	h.mu.Unlock()
	if row.Agreed && len(fresh) > 0 {
		h.o.Stored(row, fresh)
	}
	return group.Sorry{}
}
