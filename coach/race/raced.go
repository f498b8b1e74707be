package race

import (
	"fmt"
	"strings"

	"steadfoot/coach/units"
)

// Passed is a place of a race and the time at it since the start.
type Passed struct {
	Distance float64 // m
	Time     float64 // s
}

// ParsePassed reads the times of a race at its splits, as result lists have
// them: "5km 20:55, 10km 41:52, 15km 1:02:44, 20km 1:23:49". Distances and times
// must rise.
func ParsePassed(s string) ([]Passed, error) {
	var out []Passed
	for _, item := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		item = strings.TrimSpace(item)
		cut := strings.LastIndexByte(item, ' ')
		if cut < 0 {
			return nil, fmt.Errorf("split %q: want a distance and the time at it, like 5km 20:55", item)
		}
		d, err := units.ParseDistance(item[:cut])
		if err != nil {
			return nil, err
		}
		t, err := units.ParseTime(item[cut+1:])
		if err != nil {
			return nil, err
		}
		if n := len(out); n > 0 && !(d > out[n-1].Distance && t > out[n-1].Time) {
			return nil, fmt.Errorf("split %q: distances and times must rise; give the time since the start at each", item)
		}
		if len(out) == maxSplits {
			return nil, fmt.Errorf("more than %d splits", maxSplits)
		}
		out = append(out, Passed{d, t})
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no splits; write them like 5km 20:55, 10km 41:52")
	}
	return out, nil
}

// Segments are the stretches between the splits. Steps and Cadence stay 0: result
// lists do not tell them. Take them from here and not from printed splits, which
// do not always agree with the finish they are printed beside.
func Segments(splits []Passed) []Split {
	out := make([]Split, len(splits))
	var last Passed
	for i, p := range splits {
		out[i] = Split{At: p.Distance, Time: p.Time, Length: p.Distance - last.Distance, Part: p.Time - last.Time}
		last = p
	}
	return out
}

// Planned is the time at a distance in m by the plan of [Goal.Splits], s.
func (g Goal) Planned(distance, second float64) float64 {
	first, last := g.Halves(second)
	half := g.Distance / 2
	return (min(distance, half)*first + max(0, distance-half)*last) / 1000
}
