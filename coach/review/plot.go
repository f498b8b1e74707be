package review

import (
	"fmt"
	"math"
	"strings"
)

// Size of a plot in characters: with the labels it fits a terminal of 80.
const (
	labelWidth  = 8
	plotColumns = 70
	mostRows    = 12
)

// marks are the characters a plot is drawn with.
type marks struct {
	point, band, corner, side, floor string
	quicken, ease, settled           string
	lost, back, lap                  string
}

var (
	unicodeMarks = marks{"●", "░", "└", "│", "─", "▲", "▼", "=", "?", "!", "|"}
	asciiMarks   = marks{"*", ":", "+", "|", "-", "^", "v", "=", "?", "!", "|"}
)

// sample is one value at one time; several in a column are averaged.
type sample struct{ t, value float64 }

// plot draws values over time. It is text, row by row.
type plot struct {
	duration float64                             // of the time axis, s
	band     func(t float64) (low, high float64) // at a time; both 0 for none
	samples  []sample
	steps    []float64 // distances between rows to choose from, rising
	label    func(float64) string
	down     bool // small values on top
}

// draw returns the lines of the plot without the time axis, nil when there is
// nothing to show.
func (p plot) draw(m marks) []string {
	columns := p.columns()
	lo, hi, ok := p.span(columns)
	if !ok {
		return nil
	}
	step := p.step(hi - lo)
	var lines []string
	for r := rowOf(lo, step); r <= rowOf(hi, step); r++ {
		lines = append(lines, p.row(m, columns, r, step))
	}
	if !p.down {
		for i, j := 0, len(lines)-1; i < j; i, j = i+1, j-1 {
			lines[i], lines[j] = lines[j], lines[i]
		}
	}
	return lines
}

// step is the finest distance between rows at which the range fits.
func (p plot) step(span float64) float64 {
	step := 0.0
	for _, step = range p.steps {
		if span/step < mostRows-1 {
			return step
		}
	}
	for span/step >= mostRows-1 {
		step *= 2
	}
	return step
}

// rowOf is the row of v: row r is that of the values that round to r·step.
func rowOf(v, step float64) int { return int(math.Floor(v/step + 0.5)) }

// row draws row r.
func (p plot) row(m marks, columns []float64, r int, step float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%*s %s", labelWidth-1, p.label(float64(r)*step), m.side)
	for i, v := range columns {
		lo, hi := p.bandIn(i)
		switch {
		case !math.IsNaN(v) && rowOf(v, step) == r:
			b.WriteString(m.point)
		case hi > 0 && r >= rowOf(lo, step) && r <= rowOf(hi, step):
			b.WriteString(m.band)
		default:
			b.WriteByte(' ')
		}
	}
	return strings.TrimRight(b.String(), " ")
}

// columns averages the samples by column; NaN where there are none.
func (p plot) columns() []float64 {
	means := make([]mean, plotColumns)
	for _, s := range p.samples {
		means[column(s.t, p.duration)].add(s.value)
	}
	out := make([]float64, plotColumns)
	for i, m := range means {
		out[i] = m.value() // 0/0 is NaN
	}
	return out
}

// span returns the range of the rows: that of the columns and of the band.
func (p plot) span(columns []float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, v := range columns {
		if !math.IsNaN(v) {
			lo, hi, ok = min(lo, v), max(hi, v), true
		}
	}
	for i := range columns {
		if low, high := p.bandIn(i); high > 0 && ok {
			lo, hi = min(lo, low), max(hi, high)
		}
	}
	return lo, hi, ok
}

// bandIn is the band in the middle of a column.
func (p plot) bandIn(column int) (low, high float64) {
	if p.band == nil {
		return 0, 0
	}
	return p.band((float64(column) + 0.5) / plotColumns * p.duration)
}

// banded tells whether there is a band anywhere.
func (p plot) banded() bool {
	for i := range plotColumns {
		if _, high := p.bandIn(i); high > 0 {
			return true
		}
	}
	return false
}

// column is the column of time t on an axis of so many seconds.
func column(t, duration float64) int {
	if !(duration > 0) {
		return 0
	}
	return max(0, min(plotColumns-1, int(t/duration*plotColumns)))
}

// timeAxis returns the line under a plot and the line with its times.
func timeAxis(m marks, duration float64) []string {
	floor := strings.Repeat(" ", labelWidth) + m.corner + strings.Repeat(m.floor, plotColumns)
	times := []byte(strings.Repeat(" ", labelWidth+1+plotColumns))
	for i := range 5 {
		text := clock(duration * float64(i) / 4)
		at := labelWidth + 1 + (plotColumns-1)*i/4 - len(text)*i/4
		copy(times[at:], text)
	}
	return []string{floor, strings.TrimRight(string(times), " ")}
}

// clock writes s as m:ss or h:mm:ss, cut to the second.
func clock(s float64) string {
	n := int64(s)
	if n >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}
