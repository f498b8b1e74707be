package review

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"steadfoot/coach"
)

// Walk is a session of a trend.
type Walk struct {
	Started time.Time // in the zone it was walked in
	Athlete string
	Digest
}

// Trend is how the walks of one athlete went over weeks and months.
type Trend struct {
	Athlete string
	Walks   []Walk  // the oldest first
	Cadence float64 // at which the step length is told, steps/min; 0: no lap was measured
	Pace    float64 // at which the cadence is told, s/km; likewise
	Months  []Period
	Weeks   []Period
	// Drifts are the lines over time, by Measure.
	Drifts [measures]Drift
	// Adjusted says for StepLength and CadenceAt whether laps tell enough to bring
	// them to the reference.
	Adjusted [measures]bool

	values [measures][]value // of the walks that have one, the oldest first
	errors [measures]float64 // standard errors of the slopes that were used
}

// Period is a week or a month.
type Period struct {
	Name    string    // "2026-05", or "4 May" for the week that begins then
	Start   time.Time // its first day, at 0:00 UTC
	Walks   int
	Minutes float64 // walked
	Km      float64
	Levels  [measures]Level
}

// Measure is one of the figures that are followed.
type Measure uint8

// The measures.
const (
	StepLength Measure = iota // at a cadence, m
	CadenceAt                 // at a pace, steps/min
	InBand                    // share of the time with a target, %
	Uneven                    // %
	measures
)

// Reference says at which cadence step length is told and at which pace cadence;
// 0 leaves it to the walker's own laps: the median.
type Reference struct{ Cadence, Pace float64 }

// Trends makes a trend for every athlete among the walks, sorted by name. Names that
// differ in case only are one athlete. Sessions in which nobody walked are left out.
func Trends(walks []Walk, ref Reference) []*Trend {
	by := map[string]*Trend{}
	for _, w := range walks {
		if w.Walking == 0 {
			continue
		}
		key := strings.ToLower(w.Athlete)
		if by[key] == nil {
			by[key] = &Trend{Athlete: w.Athlete}
		}
		by[key].Walks = append(by[key].Walks, w)
	}
	var out []*Trend
	for _, t := range by {
		sort.SliceStable(t.Walks, func(i, k int) bool { return t.Walks[i].Started.Before(t.Walks[k].Started) })
		t.Athlete = t.Walks[len(t.Walks)-1].Athlete // as it was written last
		t.compute(ref)
		out = append(out, t)
	}
	slices.SortFunc(out, func(a, b *Trend) int { return strings.Compare(strings.ToLower(a.Athlete), strings.ToLower(b.Athlete)) })
	return out
}

func (t *Trend) compute(ref Reference) {
	t.reference(ref)
	var days []float64
	for _, w := range t.Walks {
		days = append(days, dayOf(w.Started))
	}
	t.fromLaps(StepLength, days, t.Cadence, func(p Paced) pair { return pair{p.Cadence, p.Length()} })
	t.fromLaps(CadenceAt, days, t.Pace, func(p Paced) pair { return pair{p.Pace, p.Cadence} })
	for i, w := range t.Walks {
		if w.Aimed >= leastTimed {
			t.values[InBand] = append(t.values[InBand], value{day: days[i], y: 100 * w.In / w.Aimed})
		}
		if w.Uneven != nil {
			t.values[Uneven] = append(t.values[Uneven], value{day: days[i], y: *w.Uneven})
		}
	}
	for m := range t.Drifts {
		t.Drifts[m] = drift(t.values[m])
	}
	t.Months = t.periods(monthOf, func(d time.Time) time.Time { return d.AddDate(0, 1, 0) }, "2006-01")
	t.Weeks = t.periods(weekOf, func(d time.Time) time.Time { return d.AddDate(0, 0, 7) }, "2 Jan 2006")
}

// leastTimed is how long must be walked with a target for its time in the band to
// count, s.
const leastTimed = 60.0

func (t *Trend) reference(ref Reference) {
	var cadences, paces []float64
	for _, w := range t.Walks {
		for _, l := range w.Laps {
			cadences, paces = append(cadences, l.Cadence), append(paces, l.Pace)
		}
	}
	if len(cadences) == 0 {
		return
	}
	if t.Cadence = ref.Cadence; t.Cadence == 0 {
		t.Cadence = math.Round(coach.Median(cadences))
	}
	if t.Pace = ref.Pace; t.Pace == 0 {
		t.Pace = 5 * math.Round(coach.Median(paces)/5)
	}
}

func (t *Trend) fromLaps(m Measure, days []float64, ref float64, of func(Paced) pair) {
	if ref == 0 {
		return
	}
	walks := make([][]pair, len(t.Walks))
	for i, w := range t.Walks {
		for _, l := range w.Laps {
			walks[i] = append(walks[i], of(l))
		}
	}
	means, has, slopeSE, known := atReference(walks, ref)
	t.errors[m], t.Adjusted[m] = slopeSE, known
	for i, v := range means {
		if has[i] {
			v.day = days[i]
			t.values[m] = append(t.values[m], v)
		}
	}
}

// periods cuts the time from the first walk to the last; periods without a walk are
// left out.
func (t *Trend) periods(start func(time.Time) time.Time, next func(time.Time) time.Time, name string) []Period {
	var out []Period
	for _, w := range t.Walks {
		from := start(w.Started)
		if n := len(out); n == 0 || !out[n-1].Start.Equal(from) {
			out = append(out, Period{Name: from.Format(name), Start: from})
		}
		p := &out[len(out)-1]
		p.Walks++
		p.Minutes += w.Walking / 60
		p.Km += w.Distance / 1000
	}
	for i := range out {
		from, to := dayOf(out[i].Start), dayOf(next(out[i].Start))
		for m := range out[i].Levels {
			var in []value
			for _, v := range t.values[m] {
				if v.day >= from && v.day < to {
					in = append(in, v)
				}
			}
			out[i].Levels[m] = level(in, t.Drifts[m], t.errors[m])
		}
	}
	return out
}

// date is the day of a walk where it was walked, at 0:00 UTC.
func date(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// dayOf counts the days since 1970.
func dayOf(t time.Time) float64 { return float64(date(t).Unix() / 86400) }

func monthOf(t time.Time) time.Time {
	d := date(t)
	return d.AddDate(0, 0, 1-d.Day())
}

// weekOf is the Monday of the week.
func weekOf(t time.Time) time.Time {
	d := date(t)
	return d.AddDate(0, 0, -(int(d.Weekday())+6)%7)
}

// about tells the measure in words.
func (t *Trend) about(m Measure) string {
	switch m {
	case StepLength:
		return fmt.Sprintf("step length at %.4g steps/min", t.Cadence)
	case CadenceAt:
		return fmt.Sprintf("cadence at %s min/km", coach.FormatPace(t.Pace))
	case InBand:
		return "time in the band"
	}
	return "unevenness, left against right step time"
}
