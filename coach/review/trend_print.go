package review

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
)

// form is how a measure is written.
type form struct {
	head     string  // of its column
	unit     string  // of a change
	scale    float64 // from the measure's unit to that of a change
	decimals int     // of the value
}

var forms = [measures]form{
	StepLength: {"step m", "cm", 100, 3},
	CadenceAt:  {"cadence", "steps/min", 1, 1},
	InBand:     {"in band %", "percentage points", 1, 0},
	Uneven:     {"uneven %", "percentage points", 1, 1},
}

// cell writes a level: "1.082 ±0.004", "-" for none.
func (l Level) cell(decimals int) string {
	switch {
	case l.N == 0:
		return "-"
	case math.IsNaN(l.SE):
		return fmt.Sprintf("%.*f", decimals, l.Value)
	}
	p := math.Pow(10, float64(decimals))
	return fmt.Sprintf("%.*f ±%.*f", decimals, l.Value, decimals, math.Ceil(l.SE*p)/p) // never less than it is
}

// signed writes a change with its sign, none for what rounds to 0.
func signed(x float64, decimals int) string {
	s := fmt.Sprintf("%+.*f", decimals, x)
	if strings.Trim(s, "+-0.") == "" {
		return s[1:]
	}
	return s
}

// fourWeeks is the time over which a drift is told, days.
const fourWeeks = 28.0

// words tells the drift of a measure in a sentence.
func (t *Trend) words(m Measure) string {
	d, f := t.Drifts[m], forms[m]
	name := t.about(m)
	name = strings.ToUpper(name[:1]) + name[1:]
	switch {
	case d.N == 0:
		return ""
	case !d.Known:
		return fmt.Sprintf("%s: too few walks tell it for a line over time; it takes %d on different days.", name, leastWalks)
	}
	k := fourWeeks * f.scale
	text := fmt.Sprintf("%s: %s %s in four weeks (95 %% %s to %s) over %d walks", name, signed(k*d.Slope, 2), f.unit, signed(k*d.Low, 2), signed(k*d.High, 2), d.N)
	if !d.Shown() {
		text += "; no change is shown"
	}
	return text + "."
}

// summary is what the trend comes to, in sentences.
func (t *Trend) summary() []string {
	var out []string
	for m := range measures {
		if s := t.words(m); s != "" {
			out = append(out, s)
		}
	}
	if len(t.values[StepLength]) == 0 {
		out = append(out, "Step length at a cadence and cadence at a pace are not known: no lap of known length was marked.")
	}
	for _, m := range []Measure{StepLength, CadenceAt} {
		if len(t.values[m]) > 0 && !t.Adjusted[m] {
			out = append(out, fmt.Sprintf("The %s is the plain mean of the laps near it: too few walks have several laps to tell what the one does to the other.", t.about(m)))
		}
	}
	return out
}

// fine is how the figures were made.
func (t *Trend) fine() []string {
	out := []string{"± is one standard error: how much single walks scatter around their line over time, by the root of the number of walks, which are taken to be independent of each other."}
	if len(t.values[StepLength]) > 0 {
		out = append(out, fmt.Sprintf("Step length and cadence are from marked laps alone, those within %.0f %% of the cadence or pace that is named, brought to it by the slope within walks.", 100*nearRef))
	}
	return out
}

// head says whose walks they are.
func (t *Trend) head() string {
	n := len(t.Walks)
	first, last := t.Walks[0].Started, t.Walks[n-1].Started
	walks := fmt.Sprintf("%d walks", n)
	if n == 1 {
		walks = "1 walk"
	}
	return fmt.Sprintf("%s from %s to %s", walks, first.Format("2 January 2006"), last.Format("2 January 2006"))
}

// name is the athlete, or that there is none.
func (t *Trend) name() string {
	if t.Athlete == "" {
		return "No name"
	}
	return t.Athlete
}

// PrintTrends writes trends for people.
func PrintTrends(w io.Writer, all []*Trend) error {
	b := bufio.NewWriter(w)
	for i, t := range all {
		if i > 0 {
			fmt.Fprintln(b)
		}
		fmt.Fprintf(b, "%s\n%s\n\n", strings.Join(wrap(plain(t.name()), lineWidth), "\n"), t.head())
		for _, s := range t.summary() {
			printWrapped(b, s)
		}
		printPeriods(b, "Month", t.Months)
		printPeriods(b, "Week from", t.Weeks)
		fmt.Fprintln(b)
		for _, s := range t.fine() {
			printWrapped(b, s)
		}
	}
	return b.Flush()
}

func printWrapped(w io.Writer, s string) {
	for i, l := range wrap(s, lineWidth-2) {
		if i > 0 {
			l = "  " + l
		}
		fmt.Fprintln(w, l)
	}
}

func printPeriods(w io.Writer, name string, all []Period) {
	fmt.Fprintf(w, "\n%-11s %5s %6s %5s", name, "walks", "km", "min")
	widths := [measures]int{13, 11, 9, 9}
	for m, f := range forms {
		fmt.Fprintf(w, " %*s", widths[m], f.head)
	}
	fmt.Fprintln(w)
	for _, p := range all {
		km := "-"
		if p.Km > 0 {
			km = fmt.Sprintf("%.1f", p.Km)
		}
		fmt.Fprintf(w, "%-11s %5d %6s %5.0f", p.Name, p.Walks, km, p.Minutes)
		for m, l := range p.Levels {
			fmt.Fprintf(w, " %*s", widths[m], l.cell(forms[m].decimals))
		}
		fmt.Fprintln(w)
	}
}
