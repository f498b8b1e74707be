package review

import (
	"bufio"
	"fmt"
	"html/template"
	"io"
	"strings"

	"gonum.org/v1/plot/vg"

	"steadfoot/coach/review/figure"
)

var wideSeason, narrowSeason = [2]vg.Length{700, 200}, [2]vg.Length{345, 200}

// mostWeeks is how many weeks are drawn one by one; a longer time is drawn by the
// month.
const mostWeeks = 30

// Figures are the pictures of the trend that have something to show. prefix begins
// their names.
func (t *Trend) Figures(prefix string) []Figure {
	periods, days, what := t.Weeks, 7.0, "week"
	if len(t.Weeks) > mostWeeks {
		periods, days, what = t.Months, 30.4, "month"
	}
	from, to := dayOf(t.Walks[0].Started), dayOf(t.Walks[len(t.Walks)-1].Started)
	out := []Figure{t.volume(prefix, periods, what, from, to)}
	for m := range measures {
		s := figure.Season{Heading: headings(t, m), From: from, To: to, MeanName: "mean of a " + what + ", 95 %", Least: [measures]float64{0.02, 2, 10, 1}[m]}
		if m == InBand {
			s.Lowest, s.Highest = 0, 100
		}
		if m == Uneven {
			s.Lowest, s.Highest = 0, 100
		}
		for _, v := range t.values[m] {
			s.Dots = append(s.Dots, figure.Day{Day: v.day, Value: v.y})
		}
		for _, p := range periods {
			if l := p.Levels[m]; l.N > 0 {
				s.Means = append(s.Means, figure.Mean{Day: min(to, max(from, dayOf(p.Start)+days/2)), Value: l.Value, SE: l.SE})
			}
		}
		if d := t.Drifts[m]; d.Known {
			s.Line = []figure.Day{{Day: from, Value: d.At(from)}, {Day: to, Value: d.At(to)}}
		}
		if s.Empty() {
			continue
		}
		f := Figure{Name: prefix + [measures]string{"step-length", "cadence", "in-band", "uneven"}[m], Title: t.about(m), Desc: t.words(m)}
		f.Title = strings.ToUpper(f.Title[:1]) + f.Title[1:]
		f.Wide, f.Narrow, f.WideSize, f.NarrowSize = s, s, wideSeason, narrowSeason
		out = append(out, f)
	}
	return out
}

func headings(t *Trend, m Measure) string {
	return t.about(m) + [measures]string{" (m)", " (steps/min)", " (%)", " (%)"}[m]
}

// volume is how much was walked, in km where that is known for all, otherwise in
// minutes.
func (t *Trend) volume(prefix string, periods []Period, what string, from, to float64) Figure {
	km := true
	for _, w := range t.Walks {
		km = km && (w.Distance > 0 || w.Walking == 0)
	}
	s := figure.Season{Heading: "walked (min)", From: from, To: to, BarName: "in a " + what}
	if km {
		s.Heading = "walked (km)"
	}
	for i, p := range periods {
		b := figure.Bar{From: dayOf(p.Start), To: dayOf(p.Start) + 7, Value: p.Minutes}
		if what == "month" {
			b.To = dayOf(p.Start.AddDate(0, 1, 0))
		}
		if km {
			b.Value = p.Km
		}
		if i == 0 {
			s.From = b.From
		}
		s.To = b.To
		s.Bars = append(s.Bars, b)
	}
	return Figure{Name: prefix + "volume", Title: "Volume", Desc: fmt.Sprintf("%s by the %s; %s.", s.Heading, what, t.head()),
		Wide: s, Narrow: s, WideSize: wideSeason, NarrowSize: narrowSeason}
}

// trendPage is what the page of trends shows.
type trendPage struct {
	Title    string
	Style    template.CSS
	Athletes []athletePage
}

type athletePage struct {
	Name, Head    string
	Words, Fine   []string
	Pictures      []*picture
	Columns       []string
	Months, Weeks []tableRow
}

// WriteTrendsHTML writes trends as one page that needs nothing else.
func WriteTrendsHTML(w io.Writer, all []*Trend) error {
	p := trendPage{Title: "Weeks and months", Style: stylesheet}
	if len(all) == 1 {
		p.Title = all[0].name()
	}
	for i, t := range all {
		a := athletePage{Name: t.name(), Head: t.head(), Words: t.summary(), Fine: t.fine(), Months: tableOf(t.Months), Weeks: tableOf(t.Weeks)}
		figures := t.Figures(fmt.Sprintf("a%d-", i+1))
		pics, err := pictures(figures)
		if err != nil {
			return err
		}
		for _, f := range figures {
			a.Pictures = append(a.Pictures, pics[f.Name])
		}
		a.Columns = []string{"walks", "km", "min"}
		for _, f := range forms {
			a.Columns = append(a.Columns, f.head)
		}
		p.Athletes = append(p.Athletes, a)
	}
	b := bufio.NewWriter(w)
	if err := pages.ExecuteTemplate(b, "trend.html", p); err != nil {
		return err
	}
	return b.Flush()
}

func tableOf(all []Period) []tableRow {
	var out []tableRow
	for _, p := range all {
		km := "–"
		if p.Km > 0 {
			km = fmt.Sprintf("%.1f", p.Km)
		}
		cells := []string{fmt.Sprint(p.Walks), km, fmt.Sprintf("%.0f", p.Minutes)}
		for m, l := range p.Levels {
			cell := l.cell(forms[m].decimals)
			if cell == "-" {
				cell = "–"
			}
			cells = append(cells, cell)
		}
		out = append(out, tableRow{Name: p.Name, Full: p.Name, Cells: cells})
	}
	return out
}
