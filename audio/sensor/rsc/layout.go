package rsc

import (
	"bytes"
	"fmt"
	"strings"
)

const bom = "\uFEFF"

// column is the name of the column or key that holds the packet.
const column = "rsc"

// layout is where in a line of CSV what is wanted stands.
type layout struct {
	columns int // 0: as many as there are
	time    int // -1: there is none
	packet  int
}

// parseHeader finds the columns by their names. The other answer is false when
// line is no header.
func parseHeader(line []byte) (layout, bool) {
	l := layout{time: -1, packet: -1}
	for i, f := range bytes.Split(line, []byte{','}) {
		switch cleanName(f) {
		case column:
			l.packet = i
		case "t", "t_s":
			l.time = i
		}
		l.columns++
	}
	return l, l.packet >= 0
}

// bareLayout is that of a stream whose first line is a packet already.
func bareLayout(line []byte) (layout, bool) {
	switch before, after, timed := bytes.Cut(line, []byte{','}); {
	case timed && isTime(before) && startsHex(after, 5):
		return layout{columns: 2, time: 0, packet: 1}, true
	case !timed && startsHex(line, 8):
		return layout{columns: 1, time: -1}, true
	}
	return layout{}, false
}

func isTime(b []byte) bool {
	_, err := parseTime(b)
	return err == nil
}

// startsHex tells whether b starts with bytes in hex and something between
// them, over n characters at least and the first four bytes at most.
func startsHex(b []byte, n int) bool {
	b = bytes.TrimSpace(b)
	if len(b) < n {
		return false
	}
	for i, c := range b[:min(len(b), 11)] {
		if _, digit := nibble(c); i%3 < 2 && !digit || i%3 == 2 && !isBetween(c) {
			return false
		}
	}
	return true
}

// Looks tells whether p, the start of an input, is the start of a stream of
// packets: a header with a column rsc, an object with such a key, or a packet
// with something between its bytes. p needs to hold the first line that is
// neither empty nor a comment for that, and nothing before it.
func Looks(p []byte) bool {
	p = bytes.TrimSpace(bytes.TrimPrefix(p, []byte(bom)))
	line, _, _ := bytes.Cut(p, []byte{'\n'})
	if len(line) > 0 && line[0] == '{' {
		return bytes.Contains(line, []byte(`"`+column+`"`))
	}
	_, header := parseHeader(line)
	_, bare := bareLayout(line)
	return header || bare
}

// cleanName is a column name without quotes, space or capitals.
func cleanName(b []byte) string {
	return strings.ToLower(strings.Trim(strings.TrimSpace(string(b)), `"`))
}

// split finds time and packet in a line of CSV.
func (l layout) split(line []byte) (time, packet []byte, err error) {
	n := bytes.Count(line, []byte{','}) + 1
	if n != l.columns {
		return nil, nil, fmt.Errorf("%d columns, want %d as in the first line", n, l.columns)
	}
	for i := 0; i < n; i++ {
		var f []byte
		f, line, _ = bytes.Cut(line, []byte{','})
		f = bytes.Trim(bytes.TrimSpace(f), `"`)
		switch i {
		case l.time:
			time = f
		case l.packet:
			packet = f
		}
	}
	return time, packet, nil
}
