package review

import (
	"bufio"
	"embed"
	"fmt"
	"html/template"
	"io"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/review/figure"
)

//go:embed html
var htmlFiles embed.FS

// pages are the templates, each a whole page by the name of its file.
var pages = template.Must(template.New("").Funcs(template.FuncMap{"rows": rowsOf}).ParseFS(htmlFiles, "html/*.html"))

// periodTable is a table of weeks or months.
type periodTable struct {
	What    string
	Columns []string
	Rows    []tableRow
}

func rowsOf(what string, columns []string, rows []tableRow) periodTable {
	return periodTable{what, columns, rows}
}

// stylesheet is the style of every page.
var stylesheet = func() template.CSS {
	b, err := htmlFiles.ReadFile("html/page.css")
	if err != nil {
		panic(err) // it is built in
	}
	return template.CSS(b)
}()

// picture is a figure as it stands in a page.
type picture struct {
	Name, Title, Note string
	Wide, Narrow      template.HTML
}

// pictures draws figures for a page, by their names.
func pictures(all []Figure) (map[string]*picture, error) {
	out := map[string]*picture{}
	for _, f := range all {
		wide, err := figure.Inline(f.Wide, f.WideSize[0], f.WideSize[1], f.Name+"-wide", f.Title, f.Desc)
		if err != nil {
			return nil, err
		}
		narrow, err := figure.Inline(f.Narrow, f.NarrowSize[0], f.NarrowSize[1], f.Name+"-narrow", f.Title, f.Desc)
		if err != nil {
			return nil, err
		}
		// Inline escapes every text in it.
		out[f.Name] = &picture{f.Name, f.Title, f.Note, template.HTML(wide), template.HTML(narrow)}
	}
	return out, nil
}

// reportPage is what the page of one session shows, all in words.
type reportPage struct {
	Title, Date, Athlete, Label, Plan, Note string
	Tags                                    []string
	Cut                                     bool
	Style                                   template.CSS
	Keys                                    []keyFigure
	Words, Hearing                          []string
	Pictures                                map[string]*picture
	RowsTitle, RowHead                      string
	Columns                                 []string
	Rows                                    []tableRow
	RowNotes                                []string
	NoPlane                                 string
	MetWords, MetFine                       []string
	NoBeat                                  string
	Cues, Gaps, Faults                      []timed
	MoreCues, MoreFaults                    int
	Version                                 string
}

type keyFigure struct{ Name, Value, Unit string }

type tableRow struct {
	Name, Full string
	Rest       bool
	Cells      []string
}

type timed struct{ At, Text string }

// WriteHTML writes the report as one page that needs nothing else: no network, no
// script, no other file.
func (r *Report) WriteHTML(w io.Writer) error {
	pics, err := pictures(r.Figures())
	if err != nil {
		return err
	}
	p := r.page()
	p.Pictures = pics
	b := bufio.NewWriter(w)
	if err := pages.ExecuteTemplate(b, "report.html", p); err != nil {
		return err
	}
	return b.Flush()
}

// cuesShown is how many cues a page lists; a long session of reps has hundreds.
const cuesShown = 150

func (r *Report) page() reportPage {
	s := r.Summary
	p := reportPage{
		Title: fmt.Sprintf("Session %d", r.Info.ID), Date: r.Header.Started.Format("Monday 2 January 2006, 15:04"),
		Athlete: r.Header.Athlete, Label: r.Header.Label, Plan: r.Header.Plan, Note: r.Info.Note, Tags: r.Info.Tags,
		Cut: !r.Info.Complete, Style: stylesheet, Keys: r.keyFigures(), Words: r.words(), Hearing: r.hearing(), Version: r.Header.Version,
	}
	if p.Plan == p.Label {
		p.Plan = ""
	}
	r.table(&p)
	if !r.lengths() {
		p.NoPlane = "The step length of this session is not known: no stretch of known length was walked between two marks. Mark laps at the line, with the length of a lap set, to see step length and cadence together."
	}
	if r.Met != nil {
		p.MetWords, p.MetFine = r.Met.words(), r.Met.fine()
	} else {
		p.NoBeat = "No beat was played in this session, or no step was heard while it was."
	}
	for _, c := range s.Cues[:min(len(s.Cues), cuesShown)] {
		p.Cues = append(p.Cues, timed{clock(c.T), c.Name + ": " + c.Reason})
	}
	p.MoreCues = max(0, len(s.Cues)-cuesShown)
	for _, g := range s.Gaps[:min(len(s.Gaps), cuesShown)] {
		p.Gaps = append(p.Gaps, timed{clock(g.T), fmt.Sprintf("%s for %.1f s", g.Reason, g.Length)})
	}
	shown, more := firstFaults(s.Faults)
	for _, f := range shown {
		p.Faults = append(p.Faults, timed{clock(f.T), f.What})
	}
	p.MoreFaults = more
	return p
}

func (r *Report) keyFigures() []keyFigure {
	s := r.Summary
	out := []keyFigure{{"walked", clock(s.Walking), "of " + clock(s.Duration)}}
	all, where := Row{Cadence: s.CadenceMean, Distance: s.Distance, Pace: s.Pace}, ""
	if w, ok := r.work(); ok {
		all, where = w, ", reps"
	}
	if all.Cadence > 0 {
		out = append(out, keyFigure{"cadence" + where, fmt.Sprintf("%.1f", all.Cadence), "steps/min"})
	}
	if s.Band != nil && s.Band.Aimed > 0 {
		unit := ""
		if s.Band.Target > 0 {
			unit = fmt.Sprintf("%.0f to %.0f steps/min", s.Band.Low, s.Band.High)
		}
		out = append(out, keyFigure{"in band", fmt.Sprintf("%.0f %%", 100*s.Band.In), unit})
	}
	if all.Distance > 0 {
		out = append(out, keyFigure{"distance" + where, fmt.Sprintf("%.2f km", all.Distance/1000), r.by()},
			keyFigure{"pace" + where, coach.FormatPace(all.Pace), "min/km, " + r.by()})
	}
	if l, n := r.marked(); n > 0 {
		out = append(out, keyFigure{"step length" + where, fmt.Sprintf("%.3f m", l), "by marks"})
	}
	return out
}

// by says what distance and pace of the key figures rest on.
func (r *Report) by() string {
	const profile = "by the profile's step length"
	if _, ok := r.work(); !ok {
		return profile
	}
	measured, all := 0, 0
	for _, row := range r.Rows {
		if !row.rest() && row.Role != event.RoleFree && row.Pace > 0 {
			if all++; row.Measured {
				measured++
			}
		}
	}
	switch measured {
	case 0:
		return profile
	case all:
		return "by marks"
	}
	return "in part " + profile
}

// marked is the mean step length of the work that was measured by marks, m, and of
// how many rows.
func (r *Report) marked() (length float64, n int) {
	var m mean
	for _, row := range r.Rows {
		if row.Length.Value > 0 && !row.rest() {
			m.add(row.Length.Value)
		}
	}
	if m.n == 0 {
		return 0, 0
	}
	return m.value(), m.n
}
