package profiles

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// Measured is one measurement of the step length, as 'steadfoot measure' adds it
// to a profile.
type Measured struct {
	Date     string  `toml:"date"`               // YYYY-MM-DD
	Note     string  `toml:"note,omitempty"`     // conditions: shoes, surface, weather
	Cadence  float64 `toml:"cadence"`            // steps/min
	Length   float64 `toml:"length"`             // m
	LengthSD float64 `toml:"length_sd"`          // its standard deviation, m
	Distance float64 `toml:"distance,omitempty"` // that was walked, m
}

const (
	maxMeasured   = 1000
	enoughForLine = 4   // measurements
	spanForLine   = 8.0 // steps/min between the slowest and the quickest
)

// MeasuredCurve is the step length that measurements come to: the straight line
// by least squares where there are at least 4 that span at least 8 steps/min, and
// their mean where there are fewer or they are more alike; or where the line is
// none that a profile can hold.
func MeasuredCurve(list []Measured) Curve {
	if len(list) == 0 {
		return nil
	}
	n := float64(len(list))
	var mc, ml, sxx, sxy float64
	lo, hi := list[0].Cadence, list[0].Cadence
	for _, m := range list {
		mc, ml = mc+m.Cadence/n, ml+m.Length/n
		lo, hi = min(lo, m.Cadence), max(hi, m.Cadence)
	}
	for _, m := range list {
		sxx += (m.Cadence - mc) * (m.Cadence - mc)
		sxy += (m.Cadence - mc) * (m.Length - ml)
	}
	if len(list) < enoughForLine || hi-lo < spanForLine {
		return Constant(ml)
	}
	at := func(c float64) Point { return Point{Cadence: c, Length: ml + sxy/sxx*(c-mc)} }
	if line := (Curve{at(lo), at(hi)}); line.Check() == nil {
		return line
	}
	return Constant(ml)
}

// AppendMeasured returns the profile in data with measurements added at its end;
// everything that stands there stays as it is. The result parses when data did.
func AppendMeasured(data []byte, list ...Measured) ([]byte, error) {
	text, err := toml.Marshal(struct {
		Measured []Measured `toml:"measured"`
	}{list})
	if err != nil {
		return nil, err
	}
	out := bytes.TrimRight(bytes.Clone(data), "\n")
	return append(append(out, "\n\n"...), text...), nil
}

// measured checks the measurements, and takes the step length from them where
// the profile gives none.
func (f *file) measured(a *Athlete) *fault {
	if len(f.Measured) > maxMeasured {
		return faultf("measured", "%d measurements; allowed: %d; remove old ones", len(f.Measured), maxMeasured)
	}
	for i, m := range f.Measured {
		key := fmt.Sprintf("measured[%d].", i)
		switch {
		case !isDate(m.Date):
			return faultf(key+"date", `date is %q; allowed: a day like "2026-05-30"; correct it`, clean(m.Date))
		case !within(m.Cadence, 60, 300):
			return faultf(key+"cadence", "cadence is %v; allowed: 60 to 300 steps/min; count both feet", m.Cadence)
		case !within(m.Length, minLength, maxLength):
			return faultf(key+"length", "length is %v; allowed: %v to %v m; correct or remove it", m.Length, minLength, maxLength)
		case !within(m.LengthSD, 0, 1):
			return faultf(key+"length_sd", "length_sd is %v; allowed: 0 to 1 m; correct or remove it", m.LengthSD)
		case !within(m.Distance, 0, 1e6):
			return faultf(key+"distance", "distance is %v; allowed: 0 to 1000 km, in m; correct or remove it", m.Distance)
		}
		f.Measured[i].Note = strings.Map(printableOrSpace, m.Note)
	}
	a.Measured = f.Measured
	if len(a.StepLength) == 0 {
		a.StepLength = MeasuredCurve(a.Measured)
	}
	return nil
}

func isDate(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

func printableOrSpace(r rune) rune {
	if unprintable(r) {
		return ' '
	}
	return r
}
