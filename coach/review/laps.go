package review

import (
	"fmt"
	"math"

	"steadfoot/coach"
)

// Lap is a lap mark and what was walked since the one before, or the start.
type Lap struct {
	Mark
	Length  float64 `json:"length"`            // s
	Cadence float64 `json:"cadence,omitempty"` // mean over the time walked in it, steps/min
	Pace    float64 `json:"pace,omitempty"`    // likewise, s/km; 0: no step length known
}

// laps returns the lap of each mark; marks and the time walked must be in order.
func laps(marks []Mark, walked []span) []Lap {
	out := make([]Lap, len(marks))
	begin := 0.0
	for i, m := range marks {
		var time, steps, km float64
		for len(walked) > 0 && walked[0].T <= m.T {
			w := walked[0]
			time += w.length
			steps += w.length * w.Cadence
			if w.pace > 0 {
				km += w.length / w.pace
			}
			walked = walked[1:]
		}
		out[i] = Lap{Mark: m, Length: m.T - begin}
		if time > 0 {
			out[i].Cadence = steps / time
		}
		if km > 0 {
			out[i].Pace = time / km
		}
		begin = m.T
	}
	return out
}

// words is the lap in one line, after its number.
func (l Lap) words() string {
	tenths := int64(math.Round(l.Length * 10))
	s := fmt.Sprintf("%d:%02d.%d", tenths/600, tenths/10%60, tenths%10)
	if l.Cadence > 0 {
		s += fmt.Sprintf("  %5.1f steps/min", l.Cadence)
	}
	if l.Pace > 0 {
		s += "  " + coach.FormatPace(l.Pace) + " min/km"
	}
	if l.Note != "" {
		s += "  " + l.Note
	}
	return s
}
