package live

import (
	"fmt"
	"strings"
	"testing"

	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/intake"
)

// comings are lines that come, or do not, as a test says.
type comings struct {
	lines   []string
	trouble string
	away    bool
}

func (c *comings) Name() string { return "port" }
func (c *comings) Away() bool   { return c.away }

func (c *comings) Next() (intake.Line, bool) {
	if len(c.lines) == 0 {
		return intake.Line{}, false
	}
	l := c.lines[0]
	c.lines = c.lines[1:]
	return intake.Line{Text: []byte(l)}, true
}

func (c *comings) Trouble() string {
	what := c.trouble
	c.trouble = ""
	return what
}

// row is one whose stamp is a second.
func row(s int) []string { return []string{fmt.Sprintf("%d,0,0,9.8", s)} }

// TestRowsComeAndGo: that no row comes is told once, and that they come again; a loss
// whose reason is known is told by that reason only, and silence counts from the
// return.
func TestRowsComeAndGo(t *testing.T) {
	for _, c := range []struct {
		name string
		does func(s int, in *comings) // at each second
		want []string                 // what is told
	}{
		{"rows all along", func(s int, in *comings) { in.lines = row(s) }, nil},
		{"a pause", func(s int, in *comings) {
			if s < 3 || s > 9 {
				in.lines = row(s)
			}
		}, []string{"6: port: no row for 3 s", "10: port: rows come again"}},
		{"unplugged", func(s int, in *comings) {
			switch {
			case s == 3:
				in.trouble, in.away = "gone", true
			case s == 10:
				in.trouble, in.away = "back", false
			}
			if s < 3 || s > 11 {
				in.lines = row(s)
			}
		}, []string{"3: gone", "10: back"}},
		{"silent, then unplugged, then silent", func(s int, in *comings) {
			switch {
			case s == 0:
				in.lines = row(s)
			case s == 6:
				in.trouble, in.away = "gone", true
			case s == 9:
				in.trouble, in.away = "back", false
			}
		}, []string{"4: port: no row for 3 s", "6: gone", "9: back", "12: port: no row for 3 s"}},
	} {
		in := &comings{}
		rows := NewRows(in, sensor.Options{}, true)
		var told []string
		for s := range 15 {
			c.does(s, in)
			rows.Take(float64(s), func(sensor.Row) {})
			for what := rows.Fault(); what != ""; what = rows.Fault() {
				told = append(told, fmt.Sprintf("%d: %s", s, what))
			}
		}
		if len(told) != len(c.want) {
			t.Errorf("%s: told %q, want %q", c.name, told, c.want)
			continue
		}
		for i, want := range c.want {
			if !strings.HasPrefix(told[i], want) {
				t.Errorf("%s: told %q, want %q", c.name, told[i], want)
			}
		}
	}
}
