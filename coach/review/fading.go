package review

import (
	"steadfoot/coach/event"
	"steadfoot/coach/fade"
	"steadfoot/detect"
)

// Fading is where speed went within one scope of a session.
type Fading struct {
	Scope string `json:"scope"` // "laps", "the walk", or a part like "rep 3"
	fade.Fade
}

// fadeBlock is how long a stretch of walking is that stands for one value, s:
// some 100 steps, over which the chance of single steps averages out.
const fadeBlock = 30.0

// fadings looks for a fade over the laps that were measured, or over the whole
// walk where there are too few, and within every rep that is long enough.
func fadings(events []event.Event) []Fading {
	var out []Fading
	add := func(scope string, points []fade.Point) {
		if len(points) < fade.LeastPoints {
			return
		}
		if f, err := fade.Of(points); err == nil {
			out = append(out, Fading{scope, f})
		}
	}
	if laps := lapPoints(events); len(laps) >= fade.LeastPoints {
		add("laps", laps)
	} else if free(events) {
		add("the walk", blocks(events, 0, 1e9))
	}
	for i, e := range events {
		p, ok := e.(event.Part)
		if !ok || p.Role != event.RoleRep && p.Role != event.RoleDrill {
			continue
		}
		add(scopeOf(p), blocks(events, p.T, endOf(events[i+1:])))
	}
	return out
}

// free tells whether the session was walked without a plan: where rests lie
// between reps, a fade over the whole would be one of the plan.
func free(events []event.Event) bool {
	for _, e := range events {
		if p, ok := e.(event.Part); ok && p.N > 0 && p.Role != event.RoleFree {
			return false
		}
	}
	return true
}

// endOf is when the part before events ended, s.
func endOf(events []event.Event) float64 {
	last := 0.0
	for _, e := range events {
		if p, ok := e.(event.Part); ok {
			return p.T
		}
		last = max(last, e.At())
	}
	return last
}

// lapPoints are the laps that can be measured.
func lapPoints(events []event.Event) []fade.Point {
	steps := Steps(events)
	var out []fade.Point
	for _, s := range Stretches(events) {
		if p, err := s.Pass(steps, 0); err == nil {
			out = append(out, fade.Point{T: (s.From + s.To) / 2, Span: s.To - s.From, Cadence: p.Cadence().Value, Length: p.Length().Value})
		}
	}
	return out
}

// blocks are means of cadence over fadeBlock of walking from one time to
// another; pieces in which nobody walked are left out.
func blocks(events []event.Event, from, to float64) []fade.Point {
	var out []fade.Point
	var sum, n float64
	start := from
	for _, e := range events {
		r, ok := e.(event.Rhythm)
		if !ok || r.T <= from || r.T > to {
			continue
		}
		if r.T >= start+fadeBlock {
			if n >= fadeBlock { // more than half of it, two values a second
				out = append(out, fade.Point{T: start + fadeBlock/2, Span: fadeBlock, Cadence: sum / n})
			}
			sum, n = 0, 0
			for r.T >= start+fadeBlock {
				start += fadeBlock
			}
		}
		if r.State == detect.Walking && r.Cadence > 0 {
			sum, n = sum+r.Cadence, n+1
		}
	}
	return out
}
