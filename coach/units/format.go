package units

import (
	"fmt"
	"math"
)

// Length writes the length of a step, given in m: "1.050 m" or "3 ft 5.3 in".
func (s System) Length(m float64) string {
	if s == Imperial {
		tenths := math.Round(m / Inch * 10)
		return fmt.Sprintf("%.0f ft %.1f in", math.Floor(tenths/120), math.Mod(tenths, 120)/10)
	}
	return fmt.Sprintf("%.3f m", m)
}

// Change writes the change of a length, given in m, with its sign: "+2.1 cm" or
// "+0.83 in".
func (s System) Change(m float64) string {
	if s == Imperial {
		return fmt.Sprintf("%+.2f in", m/Inch)
	}
	return fmt.Sprintf("%+.1f cm", m*100)
}

// Distance writes a distance given in m: "400 m", "20 km", "21.0975 km", "13.11 mi".
func (s System) Distance(m float64) string {
	switch {
	case s == Imperial && m >= Mile/2:
		return trim(m/Mile, 2) + " mi"
	case s == Imperial:
		return trim(m/Foot, 0) + " ft"
	case m >= Km:
		return trim(m/Km, 4) + " km"
	}
	return trim(m, 1) + " m"
}

// trim writes x with at most n decimals, and none that say nothing.
func trim(x float64, n int) string {
	p := math.Pow(10, float64(n))
	return fmt.Sprint(math.Round(x*p) / p)
}

// Pace writes a pace given in s/km, to the second: "4:00 /km" or "6:26 /mi". It
// gives "-" for what is no pace.
func (s System) Pace(pace float64) string {
	unit, sign := s.Long()
	if !(pace > 0 && pace < 1e6) {
		return "-"
	}
	return Time(pace*unit/Km, 0) + " /" + sign
}

// Time writes a time given in s, with 0 to 2 decimals: "1:20:00", "4:00",
// "39:50.5". Negative times have a minus in front.
func Time(sec float64, decimals int) string {
	sign := ""
	if sec < 0 {
		sign = "-"
	}
	p := math.Pow(10, float64(decimals))
	ticks := int64(math.Round(math.Abs(sec) * p))
	whole, part := ticks/int64(p), ticks%int64(p)
	out := fmt.Sprintf("%s%d:%02d", sign, whole/60, whole%60)
	if whole >= 3600 {
		out = fmt.Sprintf("%s%d:%02d:%02d", sign, whole/3600, whole/60%60, whole%60)
	}
	if decimals > 0 {
		out += fmt.Sprintf(".%0*d", decimals, part)
	}
	return out
}
