package profiles

import (
	"fmt"
	"strconv"
	"strings"
)

// Bounds of a pace in s/km: 2:00 is faster than anyone walks, 20:00 is a stroll.
const (
	minPace = 120
	maxPace = 1200
)

// ParsePace reads a pace as minutes and seconds for one kilometre, "5:10" or
// "5:10.5", or as plain seconds, "310", and returns it in s/km. It allows 2:00
// to 20:00.
func ParsePace(s string) (float64, error) {
	pace, ok := paceSeconds(s)
	if !ok {
		return 0, fmt.Errorf("pace %q cannot be read; allowed: minutes and seconds for a kilometre; write it like 5:10, 5:10.5 or 310", s)
	}
	if !within(pace, minPace, maxPace) {
		return 0, fmt.Errorf("pace %q is out of range; allowed: 2:00 to 20:00 for a kilometre; write it like 5:10, 5:10.5 or 310", s)
	}
	return pace, nil
}

func paceSeconds(s string) (float64, bool) {
	minutes, seconds, split := strings.Cut(s, ":")
	if !split {
		return decimal(s)
	}
	whole, _, _ := strings.Cut(seconds, ".")
	m, err := strconv.ParseUint(minutes, 10, 16)
	sec, ok := decimal(seconds)
	if err != nil || !ok || len(whole) != 2 || sec >= 60 {
		return 0, false
	}
	return float64(m)*60 + sec, true
}

// decimal reads digits with at most one point between them; the forms that
// strconv allows besides (signs, exponents, hex, NaN) are not paces.
func decimal(s string) (float64, bool) {
	whole, part, point := strings.Cut(s, ".")
	if !digits(whole) || point && !digits(part) {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil
}

func digits(s string) bool {
	return s != "" && strings.Trim(s, "0123456789") == ""
}

// writePace is the shortest text that ParsePace reads as exactly this pace.
func writePace(pace float64) string {
	if sec := int(pace); float64(sec) == pace {
		return fmt.Sprintf("%d:%02d", sec/60, sec%60)
	}
	return strconv.FormatFloat(pace, 'f', -1, 64)
}
