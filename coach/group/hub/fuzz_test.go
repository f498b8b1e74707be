package hub

import (
	"math"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

// FuzzTold: whatever a member says, the board keeps sane numbers and the source
// hears nothing of it.
func FuzzTold(f *testing.F) {
	for _, s := range []string{
		`{"kind":"status","hears":"walking","at":1000,"cadence":180,"clock":1,"off":-3,"r":0.5,"n":8,"fading":true}`,
		`{"kind":"steps","steps":[{"t":999.5,"side":"left","confidence":0.5,"heard":true}]}`,
		`{"kind":"leave"}`, `{"kind":"ping","t1":1}`, `{"kind":"join"}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := group.DecodeMember(b)
		if err != nil {
			return
		}
		src := newSource("Seniors")
		h, err := New(Options{Source: src, Word: word, Stored: func(_ group.Walker, events []event.Event) {
			for _, e := range events {
				if at := e.At(); !(math.Abs(at-1000) <= 600) {
					t.Errorf("%s at %g s", e.Kind(), at)
				}
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		defer h.Close()
		w := h.seats.take("Mira Tal")
		w.Group, w.Agreed = "Seniors", true
		if p, ok := m.(group.Ping); ok && p.Check() == nil {
			return // answered before
		}
		h.told(w, m, 1000)
		l := h.Walkers()[0].Last
		for _, v := range []float64{l.At, l.Cadence, l.SD, l.Pace, l.Uneven, l.Off, l.R, l.Clock, l.Latency} {
			if !(math.Abs(v) <= 1e6) {
				t.Errorf("%+v", l)
			}
		}
		encode(group.Board{Walkers: h.Walkers()})
		if len(src.past) > 0 {
			t.Errorf("the source was told %+v", src.past)
		}
	})
}
