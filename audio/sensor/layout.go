package sensor

import (
	"fmt"
	"strings"
)

// layout is a set of column names and what it means.
type layout struct {
	names []string // time first, then one or three values
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

// findLayout returns the layout whose names are all there.
func findLayout(has func(name string) bool) (layout, error) {
next:
	for _, l := range layouts {
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
