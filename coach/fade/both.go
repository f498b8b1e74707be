package fade

import (
	"fmt"
	"math"

	"steadfoot/coach/units"
)

// Fade is what happened to step length and cadence.
type Fade struct {
	Length      Drop  `json:"step_length"`
	Cadence     Drop  `json:"cadence"`
	LengthKnown bool  `json:"step_length_known"`
	First       First `json:"first"`
}

// First says which of the two went first.
type First uint8

// Unclear: both fell, and their beginnings cannot be told apart.
const (
	Neither First = iota
	Unclear
	LengthFirst
	CadenceFirst
)

// MarshalText implements encoding.TextMarshaler.
func (f First) MarshalText() ([]byte, error) {
	return []byte([...]string{"neither", "unclear", "step length", "cadence"}[f]), nil
}

// Of looks for a fade in a row of stretches. Without a step length in every one
// it looks at cadence alone.
func Of(points []Point) (Fade, error) {
	var f Fade
	var t, span, cadence, length []float64
	f.LengthKnown = true
	for _, p := range points {
		t, span = append(t, p.T), append(span, p.Span)
		cadence, length = append(cadence, p.Cadence), append(length, p.Length)
		f.LengthKnown = f.LengthKnown && p.Length > 0
	}
	var err error
	if f.Cadence, err = Find(t, cadence, span); err != nil {
		return f, err
	}
	if f.LengthKnown {
		if f.Length, err = Find(t, length, span); err != nil {
			return f, err
		}
	}
	f.First = first(f.Length, f.Cadence)
	return f, nil
}

func first(length, cadence Drop) First {
	l, c := length.Shown && length.Change < 0, cadence.Shown && cadence.Change < 0
	switch {
	case l && c && length.High < cadence.Low:
		return LengthFirst
	case l && c && cadence.High < length.Low:
		return CadenceFirst
	case l && c:
		return Unclear
	case l:
		return LengthFirst
	case c:
		return CadenceFirst
	}
	return Neither
}

// Words tells the fade in plain sentences.
func (f Fade) Words() []string {
	var out []string
	if f.LengthKnown {
		out = append(out, f.Length.words("Step length"))
	} else {
		out = append(out, "Step length is not known for each stretch: laps must be marked, or a distance be given.")
	}
	out = append(out, f.Cadence.words("Cadence"))
	switch f.First {
	case LengthFirst:
		if f.Cadence.Shown {
			out = append(out, "Length went first.")
		} else {
			out = append(out, "Length went; that cadence did is not shown.")
		}
	case CadenceFirst:
		if f.LengthKnown && !f.Length.Shown {
			out = append(out, "Cadence went; that length did is not shown.")
		} else if f.LengthKnown {
			out = append(out, "Cadence went first.")
		}
	case Unclear:
		out = append(out, "Which of the two went first cannot be told from these stretches.")
	}
	if f.First != Neither {
		out = append(out, Context)
	}
	return out
}

// Context is what was published of the same question; it judges nobody.
const Context = "For comparison: in elite 20 km races step length fell first and cadence later (Hanley, Bissas and Drake 2011, Sports Biomech 10:110-124)."

func (d Drop) words(what string) string {
	if !d.Shown {
		return what + ": no lasting change is shown."
	}
	way, cost := "fell", fmt.Sprintf("it cost %.1f s", d.Cost)
	if d.Change > 0 {
		way = "rose"
	}
	if d.Cost < 0 {
		cost = fmt.Sprintf("it gained %.1f s", -d.Cost)
	}
	return fmt.Sprintf("%s %s by %.1f %% from %s on (95 %% %s to %s); %s.", what, way, 100*math.Abs(d.Change),
		units.Time(d.From, 0), units.Time(d.Low, 0), units.Time(d.High, 0), cost)
}
