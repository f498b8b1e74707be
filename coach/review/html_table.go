package review

import (
	"fmt"
	"strings"

	"steadfoot/coach"
)

// table fills in the rows.
func (r *Report) table(p *reportPage) {
	p.RowsTitle = map[RowKind]string{ByPart: "Rep by rep", ByLap: "Lap by lap", ByPiece: "Piece by piece"}[r.By]
	p.RowHead = map[RowKind]string{ByPart: "part", ByLap: "lap", ByPiece: "time"}[r.By]
	p.Columns = []string{"distance m", "time", "pace /km", "cadence /min", "step m", "in band", "uneven %", "varied %", "fade", "cues"}
	for _, row := range r.Rows {
		p.Rows = append(p.Rows, tableRow{short(row.Name), row.Name, r.By == ByPart && row.rest(), row.cells()})
	}
	if r.By == ByPiece {
		p.RowNotes = append(p.RowNotes, "No lap was marked and there was no plan, so the walk is cut at round times.")
	}
	if r.estimated() {
		p.RowNotes = append(p.RowNotes, "≈ is by the step length of the profile; without it, by the marks at the line.")
	}
	p.RowNotes = append(p.RowNotes, "Uneven: left against right step time. Varied: coefficient of variation of stride time. A dash is what cannot be said: too few steps, no mark, no target.")
}

// short cuts a name that would make a row of a table too high.
func short(name string) string {
	const most = 36
	if r := []rune(name); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "…"
	}
	return name
}

// cells are the row in words, by column.
func (row Row) cells() []string {
	const none = "–"
	c := []string{none, clock(row.To - row.From), none, none, none, none, none, none, none, "0"}
	about := "≈ "
	if row.Measured {
		about = ""
	}
	if row.Distance > 0 {
		c[0] = fmt.Sprintf("%s%.0f", about, row.Distance)
	}
	if row.Pace > 0 {
		c[2] = about + coach.FormatPace(row.Pace)
	}
	if row.Cadence > 0 {
		c[3] = fmt.Sprintf("%.1f", row.Cadence)
	}
	if row.Length.Value > 0 {
		c[4] = fmt.Sprintf("%.3f", row.Length.Value)
	}
	if row.In != nil {
		c[5] = fmt.Sprintf("%.0f %%", 100**row.In)
	}
	if row.Unevenness != nil {
		c[6] = fmt.Sprintf("%.1f", *row.Unevenness)
	}
	if row.Variability != nil {
		c[7] = fmt.Sprintf("%.1f", *row.Variability)
	}
	if row.Fade != "" {
		c[8] = row.Fade
	}
	if c[9] = fmt.Sprint(row.Cues); row.In == nil && row.Cues == 0 {
		c[9] = none
	}
	return c
}
