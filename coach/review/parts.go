package review

import (
	"fmt"
	"io"
	"strings"

	"steadfoot/coach"
	"steadfoot/coach/event"
)

// Part is a part of a planned session and what was walked in it.
type Part struct {
	event.Part
	Time       float64 `json:"time"`                  // from its start to its end, s
	Walked     float64 `json:"walked,omitempty"`      // of it with the coach's estimate of the way, m
	Walking    float64 `json:"walking"`               // of it, s
	Cadence    float64 `json:"cadence,omitempty"`     // mean over the time walked, steps/min
	Pace       float64 `json:"pace,omitempty"`        // likewise, s/km
	StepLength float64 `json:"step_length,omitempty"` // that follows from the two, m
	In         float64 `json:"in"`                    // share of the time walked that was in the band, 0 to 1
	Aimed      bool    `json:"aimed"`                 // there was a target
	Cues       int     `json:"cues"`                  // about the cadence
}

// parts returns what was walked in each part of a plan; none without one.
func parts(events []event.Event, a aims, walked []span) []Part {
	var out []Part
	var last event.Rhythm
	for _, e := range events {
		switch e := e.(type) {
		case event.Part:
			out = closePart(out, e.T, e.Distance)
			if e.N > 0 {
				out = append(out, Part{Part: e, Time: -1})
			}
		case event.Rhythm:
			last = e
		case event.Mark:
			if e.Name == event.MarkEnd {
				out = closePart(out, e.T, last.Distance)
			}
		case event.Cue:
			if n := len(out); n > 0 && out[n-1].Time < 0 && (e.Name == event.CueQuicken || e.Name == event.CueEase) {
				out[n-1].Cues++
			}
		}
	}
	out = closePart(out, last.T, last.Distance)
	for i := range out {
		out[i].walk(a, walked)
	}
	return out
}

// closePart ends the last part that is still open.
func closePart(all []Part, t, distance float64) []Part {
	if n := len(all); n > 0 && all[n-1].Time < 0 {
		p := &all[n-1]
		p.Time = max(0, t-p.T)
		if distance > 0 {
			p.Walked = max(0, distance-p.Distance)
		}
	}
	return all
}

// walk fills in what the time walked says.
func (p *Part) walk(a aims, walked []span) {
	var steps, km, in float64
	for _, w := range walked {
		if w.T <= p.T || w.T > p.T+p.Time {
			continue
		}
		p.Walking += w.length
		steps += w.length / 60 * w.Cadence
		if w.pace > 0 {
			km += w.length / w.pace
		}
		if t := a.at(w.middle()); t.Cadence > 0 {
			p.Aimed = true
			if w.Cadence >= t.Low && w.Cadence <= t.High {
				in += w.length
			}
		}
	}
	if p.Walking == 0 {
		return
	}
	p.Cadence, p.In = steps/p.Walking*60, in/p.Walking
	if km > 0 {
		p.Pace = p.Walking / km
		p.StepLength = coach.LengthOf(p.Pace, p.Cadence)
	}
}

// title is the part in a few words.
func (p Part) title() string {
	s := p.Role
	if p.Rep > 0 && p.Role != event.RoleRecovery {
		s = fmt.Sprintf("%s %d of %d", p.Role, p.Rep, p.Of)
	}
	if p.Label != "" {
		s += ", " + p.Label
	}
	return s
}

func printParts(w io.Writer, all []Part) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\nParts\n%*s  %-24s %7s %7s %7s %6s %7s %5s\n", labelWidth, "", "", "time", "m", "cadence", "pace", "in band", "cues")
	for _, p := range all {
		cells := []string{"-", "-", "-", "-"}
		if p.Walked > 0 {
			cells[0] = fmt.Sprintf("%.0f", p.Walked)
		}
		if p.Walking > 0 {
			cells[1] = fmt.Sprintf("%.1f", p.Cadence)
			cells[2] = coach.FormatPace(p.Pace)
			if p.Aimed {
				cells[3] = fmt.Sprintf("%.0f %%", 100*p.In)
			}
		}
		cues := "-"
		if p.Aimed {
			cues = fmt.Sprint(p.Cues)
		}
		line := fmt.Sprintf("%*s  %s %7s %7s %7s %6s %7s %5s", labelWidth, clock(p.T), fit(p.title(), 24), clock(p.Time), cells[0], cells[1], cells[2], cells[3], cues)
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}
