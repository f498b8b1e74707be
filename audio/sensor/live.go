package sensor

import (
	"bytes"
	"fmt"
	"strconv"
)

// LongestLine is the longest line of a live sensor that is taken, in bytes.
const LongestLine = 4 << 10

// Live reads the lines of a sensor that is worn right now. They may begin
// anywhere, be garbled or broken off, and start again from zero: what is no row
// is left out, and the time of the rows goes on whatever the sensor's clock does.
// It is for one goroutine.
//
// A header is taken wherever it comes; before there is any, rows of numbers are
// taken as t,ax,ay,az, as ax,ay,az or as t,mag_raw, by how many there are.
type Live struct {
	form
	name   string
	said   Unit
	isJSON bool
	bare   int // numbers a row, where no header came
	value  [4]float64
	place  placer
	reset  bool // the last row began a new count of time
	anew   bool // a connection or a header came since the last row: a new count is no news

	rows, bad int
	told      struct{ bad, timeless bool }
	faults    []string
}

// NewLive returns a reader of lines. The name is for messages.
func NewLive(name string, o Options) *Live {
	return &Live{name: name, said: o.Unit}
}

// Name is the name given to NewLive.
func (l *Live) Name() string { return l.name }

// Line takes the next line, without its end, that came at time now: s, on the
// clock that the rows are to be on, which never goes back. fresh tells that it is
// the first one of a connection, so that its beginning may be missing. The answer
// is false when the line holds no row, or one that came late or twice. Times of
// rows rise. Within a count of the sensor's own clock they are apart as it says.
func (l *Live) Line(line []byte, now float64, fresh bool) (Row, bool) {
	line = bytes.TrimSpace(bytes.TrimPrefix(line, []byte(bom)))
	l.anew = l.anew || fresh
	if len(line) == 0 || line[0] == '#' || len(line) > LongestLine || l.begins(line) {
		return Row{}, false
	}
	if fresh && line[0] != '{' {
		return Row{}, false // half a number looks like a number
	}
	v := l.value[:]
	clear(v)
	timed := len(l.layout.names)%2 == 0
	if !timed {
		v = v[1:]
	}
	if l.parse == nil || l.parse(line, v[:len(l.layout.names)]) != nil {
		l.spoilt(fresh)
		return Row{}, false
	}
	k, v := l.unit.factor(), l.value[:]
	row := Row{T: v[0], X: k * v[1], Y: k * v[2], Z: k * v[3]}
	if !finite(row.T) || !finite(row.X+row.Y+row.Z) {
		l.spoilt(fresh)
		return Row{}, false
	}
	var ok bool
	if timed {
		row.T, ok = l.place.stamped(row.T, now)
	} else {
		row.T, ok = l.place.timeless(now), true
	}
	l.tell(timed)
	if ok {
		l.rows++
		l.anew = false
	}
	return row, ok
}

// begins tells whether line is a header, and takes it. A first object or row of
// numbers settles the form, too, but is a row all the same.
func (l *Live) begins(line []byte) bool {
	known := append(layouts[:len(layouts):len(layouts)], timeless...)
	if line[0] == '{' {
		if !l.isJSON && l.startJSON(line, known) == nil {
			l.isJSON, l.bare = true, 0
			l.settleUnit(l.said)
		}
		return false
	}
	first, _, _ := bytes.Cut(line, []byte{','})
	if _, err := strconv.ParseFloat(string(bytes.Trim(bytes.TrimSpace(first), `"`)), 64); err != nil {
		if l.startCSV(line, known) != nil {
			return false
		}
		l.isJSON, l.bare = false, 0
		l.settleUnit(l.said)
		l.anew = true
		return true
	}
	n := bytes.Count(line, []byte{','}) + 1
	if (l.parse == nil || l.isJSON) && n >= 2 && n <= 4 {
		l.bare = n
		l.isJSON = false
		l.layout = [...]layout{2: layouts[7], 3: timeless[0], 4: layouts[0]}[n]
		l.columns([]int{0, 1, 2, 3}[:n], n)
		l.settleUnit(l.said)
	}
	return false
}

// spoilt counts a line that is no row. The first one of a connection may be half
// a line, which is as it should be.
func (l *Live) spoilt(fresh bool) {
	if fresh {
		return
	}
	l.bad++
	if l.bad >= 3 && !l.told.bad {
		l.told.bad = true
		l.faults = append(l.faults, "some lines are no rows and are left out; want rows like t,ax,ay,az, a header with these names, or JSON objects")
	}
}

// tell puts what became of the time into words.
func (l *Live) tell(timed bool) {
	p := &l.place
	if !timed || p.given {
		if !l.told.timeless {
			l.told.timeless = true
			why := "the rows have no times"
			if timed {
				why = "the times of the rows do not run in seconds"
			}
			l.faults = append(l.faults, why+"; they are taken as they come")
		}
		p.jump = 0
		return
	}
	if l.reset = p.jump != 0; l.reset && !l.anew {
		l.faults = append(l.faults, fmt.Sprintf("the sensor's clock jumped by %+.3g s; its rows go on by when they come", p.jump))
	}
	p.jump = 0
}

// Reset tells that the last row began a new count of time, so that what was known
// about the sensor's clock holds no longer.
func (l *Live) Reset() bool { return l.reset }

// Fault is what went wrong since it was last asked for, in one line; "" when
// nothing did.
func (l *Live) Fault() string {
	if len(l.faults) == 0 {
		return ""
	}
	f := l.faults[0]
	l.faults = l.faults[1:]
	return l.name + ": " + f
}

// Rows is how many rows were given.
func (l *Live) Rows() int { return l.rows }

// Warnings tells at the end, one line each, what was left out.
func (l *Live) Warnings() (all []string) {
	add := func(n int, what string) {
		if n > 0 {
			all = append(all, fmt.Sprintf("%s: %s: %d, left out", l.name, what, n))
		}
	}
	if l.rows == 0 {
		all = append(all, l.name+": no rows came")
	}
	add(l.bad, "lines that are no rows")
	add(l.place.late, "rows not later than the one before")
	return all
}
