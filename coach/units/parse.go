package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// maxText is longer than anything a person writes here.
const maxText = 40

// named are the road distances that people say by name, in m (World Athletics).
var named = map[string]float64{
	"marathon":      42195,
	"half marathon": 21097.5,
	"half-marathon": 21097.5,
	"half":          21097.5,
}

// metres is what a sign after a number stands for.
var metres = map[string]float64{
	"m": 1, "cm": 0.01, "km": Km,
	"in": Inch, `"`: Inch, "ft": Foot, "'": Foot, "mi": Mile,
}

// ParseDistance reads a distance and returns it in m: "400", "400m", "20 km",
// "13.1 mi", "half marathon". A bare number is metres in either system. It allows
// 10 m to 200 km.
func ParseDistance(s string) (float64, error) {
	d, ok := named[strings.ToLower(strings.TrimSpace(s))]
	if !ok {
		d, ok = measure(s, 1)
	}
	if !ok {
		return 0, fmt.Errorf("distance %q cannot be read; write it like 400m, 20km, 13.1mi, marathon or half marathon", clip(s))
	}
	if !(d >= 10 && d <= 200*Km) {
		return 0, fmt.Errorf("distance %q is out of range; allowed: 10 m to 200 km", clip(s))
	}
	return d, nil
}

// ParseLength reads the length of a step and returns it in m: "1.05", "1.05m",
// "105cm", "41in", "3ft 5in", 3'5". A bare number is metres, with Imperial
// inches. It allows 0.3 to 2 m.
func (s System) ParseLength(text string) (float64, error) {
	bare := 1.0
	if s == Imperial {
		bare = Inch
	}
	l, ok := measure(text, bare)
	if !ok {
		return 0, fmt.Errorf("length %q cannot be read; write it like 1.05m, 105cm, 41in or 3ft5in", clip(text))
	}
	if !(l >= 0.3 && l <= 2) {
		return 0, fmt.Errorf("step length %q is out of range; allowed: 0.3 to 2 m, one step, heel contact to the other foot's heel contact", clip(text))
	}
	return l, nil
}

// measure reads numbers, each with its sign, and adds them up.
func measure(s string, bare float64) (float64, bool) {
	rest := strings.ToLower(strings.TrimSpace(s))
	if rest == "" || len(rest) > maxText {
		return 0, false
	}
	sum := 0.0
	for parts := 0; rest != ""; parts++ {
		n := strings.IndexFunc(rest, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
		if n < 0 {
			n = len(rest)
		}
		x, ok := decimal(rest[:n])
		if !ok {
			return 0, false
		}
		rest = strings.TrimLeft(rest[n:], " ")
		n = strings.IndexAny(rest, "0123456789. ")
		if n < 0 {
			n = len(rest)
		}
		unit, known := metres[rest[:n]]
		if n == 0 { // a bare number stands alone
			unit, known = bare, parts == 0 && rest == ""
		}
		if !known {
			return 0, false
		}
		sum += x * unit
		rest = strings.TrimLeft(rest[n:], " ")
	}
	return sum, true
}

// ParsePace reads a pace and returns it in s/km: "4:00", "4:00/km", "6:26/mi". A
// bare one is for a kilometre, with Imperial for a mile. It allows 2:00 to 20:00
// for a kilometre.
func (s System) ParsePace(text string) (float64, error) {
	unit, _ := s.Long()
	number := strings.ToLower(strings.TrimSpace(text))
	if t, ok := strings.CutSuffix(number, "/km"); ok {
		number, unit = t, Km
	} else if t, ok := strings.CutSuffix(number, "/mi"); ok {
		number, unit = t, Mile
	}
	sec, ok := seconds(strings.TrimSpace(number))
	if !ok {
		return 0, fmt.Errorf("pace %q cannot be read; write it like 4:00, 4:00.5/km or 6:26/mi", clip(text))
	}
	pace := sec / unit * Km
	if !(pace >= 120 && pace <= 1200) {
		return 0, fmt.Errorf("pace %q is out of range; allowed: 2:00 to 20:00 for a kilometre", clip(text))
	}
	return pace, nil
}

// ParseTime reads a time as hours, minutes and seconds, minutes and seconds, or
// seconds ("1:20:00", "39:50.5", "96"), and returns it in s. It allows 1 s to
// 48 h.
func ParseTime(s string) (float64, error) {
	sec, ok := seconds(strings.TrimSpace(s))
	if !ok {
		return 0, fmt.Errorf("time %q cannot be read; write it like 1:20:00, 39:50 or 96", clip(s))
	}
	if !(sec >= 1 && sec <= 48*3600) {
		return 0, fmt.Errorf("time %q is out of range; allowed: 1 s to 48 h", clip(s))
	}
	return sec, nil
}

// seconds reads h:mm:ss, m:ss or s, the last with a fraction.
func seconds(s string) (float64, bool) {
	if len(s) > maxText {
		return 0, false
	}
	parts := strings.Split(s, ":")
	if len(parts) > 3 {
		return 0, false
	}
	sum := 0.0
	for i, p := range parts {
		x, ok := decimal(p)
		whole, _, fraction := strings.Cut(p, ".")
		last := i == len(parts)-1
		if !ok || fraction && !last || i > 0 && (len(whole) != 2 || x >= 60) {
			return 0, false
		}
		sum = sum*60 + x
	}
	return sum, true
}

// decimal reads digits with at most one point between them; what strconv allows
// besides (signs, exponents, NaN) is no measure.
func decimal(s string) (float64, bool) {
	whole, part, point := strings.Cut(s, ".")
	if !digits(whole) || point && !digits(part) {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil && !math.IsInf(x, 0)
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

func clip(s string) string {
	if len(s) > maxText {
		return strings.ToValidUTF8(s[:maxText], "") + "…"
	}
	return s
}

// ParseSmall reads the uncertainty of a distance and returns it in m: "0",
// "20cm", "0.5m". A bare number is metres. It allows 0 to 1 km.
func ParseSmall(s string) (float64, error) {
	d, ok := measure(s, 1)
	if !ok || !(d >= 0 && d <= Km) {
		return 0, fmt.Errorf("%q: want a length from 0 to 1 km, like 20cm or 0.5m", clip(s))
	}
	return d, nil
}
