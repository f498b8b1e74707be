package compare

import (
	"fmt"
	"math"
	"strings"

	"steadfoot/coach/units"
)

// Verdict says in one line what the data show, and not more: "length +2.1 cm
// (95 % 1.2 to 3.0), cadence -0.4 /min (-1.5 to 0.7): faster by 1.6 % (0.4 to 2.8)".
func (r Result) Verdict(u units.System) string {
	scale, unit, decimals := 100.0, "cm", 1
	if u == units.Imperial {
		scale, unit, decimals = 1/units.Inch, "in", 2
	}
	return fmt.Sprintf("length %s, cadence %s: %s",
		interval(r.Length(), scale, decimals, " "+unit, "95 % "), interval(r.Cadence(), 1, 1, " /min", ""), r.speedWords())
}

// interval writes a change with its interval.
func interval(c Change, scale float64, decimals int, unit, level string) string {
	return fmt.Sprintf("%s%s (%s%s to %s)", signed(scale*c.Value, decimals, true), unit, level,
		signed(scale*c.Low, decimals, false), signed(scale*c.High, decimals, false))
}

// signed writes x, never as -0, with a plus where plus is true.
func signed(x float64, decimals int, plus bool) string {
	p := math.Pow(10, float64(decimals))
	x = math.Round(x*p)/p + 0
	if plus {
		return fmt.Sprintf("%+.*f", decimals, x)
	}
	return fmt.Sprintf("%.*f", decimals, x)
}

// speedWords tells the change of speed.
func (r Result) speedWords() string {
	c := r.SpeedShare()
	lo, hi := signed(100*c.Low, 1, false), signed(100*c.High, 1, false)
	switch {
	case c.Shown() && c.Value > 0:
		return fmt.Sprintf("faster by %.1f %% (%s to %s)", 100*c.Value, lo, hi)
	case c.Shown():
		return fmt.Sprintf("slower by %.1f %% (%s to %s)", -100*c.Value, signed(-100*c.High, 1, false), signed(-100*c.Low, 1, false))
	}
	return fmt.Sprintf("no change of speed is shown (%s %%, 95 %% %s to %s)", signed(100*c.Value, 1, true), lo, hi)
}

// Reading explains the verdict in plain words, a sentence each.
func (r Result) Reading() []string {
	var out []string
	length, cadence := r.LogLength, r.LogCadence
	switch {
	case length.Low > 0 && cadence.High < 0:
		out = append(out, "Steps became longer and fewer a minute: length was bought with cadence.")
	case length.Low > 0 && !cadence.Shown():
		out = append(out, "Steps became longer; that it cost cadence is not shown.")
	case length.Low > 0:
		out = append(out, "Steps became both longer and quicker.")
	case length.High < 0:
		out = append(out, "Steps became shorter.")
	case cadence.Shown():
		out = append(out, "Cadence changed; that step length did is not shown.")
	default:
		out = append(out, "Neither length nor cadence is shown to have changed: what differs is no more than reps differ anyway.")
	}
	if r.EffortUnlike {
		out = append(out, "The sets were walked at quite different speeds. Faster walking has longer and quicker steps in any case; compare at the same pace before crediting anything else.")
	}
	if few := min(r.FromN, r.ToN); few < 6 {
		out = append(out, fmt.Sprintf("%d reps are few, so the intervals are wide; 6 or more of each tell more.", few))
	}
	return out
}

// SecondsWords tells what the change would be worth over a distance in m.
func (r Result) SecondsWords(distance float64, u units.System) string {
	c := r.Seconds(distance)
	name := u.Distance(distance)
	if !c.Shown() {
		return fmt.Sprintf("over %s: not shown (%s s, 95 %% %s to %s)", name, signed(c.Value, 1, true), signed(c.Low, 1, false), signed(c.High, 1, false))
	}
	word := "slower"
	if c.Value < 0 {
		word, c = "faster", Change{-c.Value, -c.High, -c.Low}
	}
	return fmt.Sprintf("over %s, were it held: %s s %s (95 %% %s to %s), from %s", name, signed(c.Value, 1, false), word,
		signed(c.Low, 1, false), signed(c.High, 1, false), strings.TrimSpace(units.Time(r.BaseTime(distance), 0)))
}
