package coach

import (
	"fmt"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
	"steadfoot/profiles"
)

// strider walks a course: true steps of its own length at its own cadence, and a
// tick every half second.
type strider struct {
	c       *course
	now     float64
	next    float64 // time of the next step
	cadence float64 // 0: stands
	length  float64 // true step length, m
	deaf    bool    // steps are not heard
	truly   float64 // truly walked, m
	orders  orders
	events  []event.Event
	wishes  []wish
	clears  int
}

func newStrider(s Settings, cadence, length float64) *strider {
	w := &strider{c: newCourse(s), cadence: cadence, length: length}
	w.c.start(0, &w.orders)
	w.take()
	return w
}

func (w *strider) take() {
	w.events = append(w.events, w.orders.events...)
	w.wishes = append(w.wishes, w.orders.wishes...)
	if w.orders.clear != "" {
		w.clears++
	}
	w.orders = orders{}
}

func (w *strider) mark(name string) {
	w.c.mark(w.now, event.Mark{T: w.now, Name: name}, &w.orders)
	w.take()
}

// tick walks for half a second.
func (w *strider) tick() {
	to := w.now + 0.5
	r := detect.Rhythm{T: to, State: detect.NotWalking}
	if w.cadence > 0 {
		for ; w.next <= to; w.next += 60 / w.cadence {
			w.truly += w.length
			if !w.deaf {
				w.c.step(w.next, detect.Step{T: w.next, Heard: true})
			}
		}
		r = detect.Rhythm{T: to, State: detect.Walking, Cadence: w.cadence, CadenceSD: 0.3, Heard: 1}
	}
	if w.deaf {
		r = detect.Rhythm{T: to, State: detect.CannotHear}
	}
	w.next = max(w.next, to)
	w.now = to
	w.c.tick(to, r, &w.orders)
	w.take()
}

// walk goes on until a time.
func (w *strider) walk(to float64) {
	for w.now < to-1e-9 {
		w.tick()
	}
}

// cross walks to a true distance from the start, and marks the line there.
func (w *strider) cross(d float64) {
	for w.truly < d-w.length/2 {
		w.tick()
	}
	w.mark(event.MarkLap)
}

func told[E event.Event](w *strider) (all []E) {
	for _, e := range w.events {
		if e, ok := e.(E); ok {
			all = append(all, e)
		}
	}
	return all
}

func (w *strider) cues(names ...string) string {
	var out []string
	for _, x := range w.wishes {
		for _, n := range names {
			if x.cue.Name == n {
				out = append(out, fmt.Sprintf("%s %.1f", n, x.cue.T))
			}
		}
	}
	return strings.Join(out, ", ")
}

func planOf(t *testing.T, text string) *profiles.Plan {
	t.Helper()
	p, err := profiles.ParsePlan("plan.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func withPlan(p *profiles.Plan, c profiles.Curve) Settings {
	return Settings{Cadence: 190, Slow: 4, Quick: 4, StepLength: c, Plan: p, Beat: BeatChoice{On: true}, Policy: DefaultPolicy()}
}
