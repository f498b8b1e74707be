package race

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Split is one line of a table of splits.
type Split struct {
	At      float64 // distance from the start, m
	Time    float64 // from the start, s
	Length  float64 // of this part, m
	Part    float64 // time of this part, s
	Steps   float64 // in this part
	Cadence float64 // steps/min, mean over this part
}

// maxSplits bounds a table: a marathon by laps has 106.
const maxSplits = 1000

// Halves returns the paces in s/km of the first and the second half when the
// second is quicker by second, a share of the first one's time: 0.02 is 2 %.
// Their mean is the pace of the goal.
func (g Goal) Halves(second float64) (first, last float64) {
	first = 2 * g.Pace / (2 - second)
	return first, first * (1 - second)
}

// Splits cuts the race into parts of every m (the last one may be shorter), the
// second half walked quicker by second as in [Goal.Halves].
func (g Goal) Splits(every, second float64) ([]Split, error) {
	if !(every > 0) || g.Distance/every > maxSplits {
		return nil, fmt.Errorf("splits every %g m of %g m: at most %d can be shown", every, g.Distance, maxSplits)
	}
	if !(math.Abs(second) <= 0.2) {
		return nil, fmt.Errorf("a second half that differs by %g %% is no plan; allowed: up to 20 %%", 100*second)
	}
	first, last := g.Halves(second)
	clock := func(d float64) float64 { return g.Planned(d, second) }
	steps := func(d float64) float64 {
		_, a := g.at(first)
		_, b := g.at(last)
		half := g.Distance / 2
		return min(d, half)/a + max(0, d-half)/b
	}
	var out []Split
	from := 0.0
	// A rest of a millimetre is rounding, not a split.
	for k := 1; from < g.Distance-1e-3; k++ {
		to := min(float64(k)*every, g.Distance)
		s := Split{At: to, Time: clock(to), Length: to - from, Part: clock(to) - clock(from), Steps: steps(to) - steps(from)}
		s.Cadence = s.Steps / s.Part * 60
		out = append(out, s)
		from = to
	}
	return out, nil
}

// ParsePlan reads how a race is to be split: "even", or by how much the second
// half is to be quicker, "1.5%" or "negative" (1 %), a negative number for a
// slower one.
func ParsePlan(s string) (second float64, err error) {
	switch s {
	case "even", "":
		return 0, nil
	case "negative":
		return 0.01, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), "%"), 64)
	if err != nil || !(math.Abs(v) <= 20) {
		return 0, fmt.Errorf("plan %q: want even, negative, or by how much the second half is quicker, like 1.5%%", s)
	}
	return v / 100, nil
}
