package sensor

import (
	"fmt"
	"strings"
)

// form is how the rows of a stream are written.
type form struct {
	layout layout
	unit   Unit                                 // "" until it is known
	parse  func(line []byte, v []float64) error // into as many values as the layout has names
}

// settleUnit takes the unit of the header, or else the one that was said, or
// else m/s².
func (s *form) settleUnit(said Unit) {
	s.unit = s.layout.unit
	if s.unit == "" {
		s.unit = said
	}
	if s.unit == "" {
		s.unit = MPS2
	}
}

// layout is a set of column names and what it means.
type layout struct {
	names []string // time first where there is one, then one or three values
	unit  Unit     // "" where the caller says it
}

var layouts = []layout{
	{[]string{"t", "ax", "ay", "az"}, ""},
	{[]string{"t_s", "ax", "ay", "az"}, ""},
	{[]string{"t_s", "ax_mps2", "ay_mps2", "az_mps2"}, MPS2},
	{[]string{"t", "ax_mps2", "ay_mps2", "az_mps2"}, MPS2},
	{[]string{"t_s", "ax_g", "ay_g", "az_g"}, G},
	{[]string{"t", "ax_g", "ay_g", "az_g"}, G},
	{[]string{"t_s", "mag_raw"}, Raw},
	{[]string{"t", "mag_raw"}, Raw},
}

// timeless are those of a live sensor that leaves the time to when its rows come.
var timeless = []layout{
	{[]string{"ax", "ay", "az"}, ""},
	{[]string{"ax_mps2", "ay_mps2", "az_mps2"}, MPS2},
	{[]string{"ax_g", "ay_g", "az_g"}, G},
	{[]string{"mag_raw"}, Raw},
}

// findLayout returns the first of the known layouts whose names are all there.
func findLayout(known []layout, has func(name string) bool) (layout, error) {
next:
	for _, l := range known {
		for _, n := range l.names {
			if !has(n) {
				continue next
			}
		}
		return l, nil
	}
	return layout{}, fmt.Errorf("no known set of columns; want %s, or t_s with ax_mps2,… or ax_g,… or mag_raw",
		strings.Join(layouts[0].names, ","))
}

// Looks tells whether p, the first few bytes of an input, starts a sensor
// stream rather than a sound: a brace, or a text that starts like a header.
func Looks(p []byte) bool {
	s := strings.TrimLeft(strings.TrimPrefix(string(p), bom), " \t\r\n")
	if s == "" {
		return false
	}
	if s[0] == '{' || s[0] == '#' {
		return true
	}
	head, _, _ := strings.Cut(s, ",")
	switch cleanName(head) {
	case "t", "t_s", "ax", "ax_g", "ax_mps2", "mag_raw":
		return len(head) < len(s)
	}
	return false
}

const bom = "\uFEFF"

// cleanName is a column name without quotes, space or capitals.
func cleanName(s string) string {
	return strings.ToLower(strings.Trim(strings.TrimSpace(s), `"`))
}
