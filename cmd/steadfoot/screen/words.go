package screen

import (
	"fmt"
	"math"
	"unicode"
	"unicode/utf8"
)

// known tells whether v is a figure that can be shown.
func known(v float64) bool { return v > 0 && v < 1e6 }

// clock writes a time in s as m:ss or h:mm:ss.
func clock(t float64) string {
	if !(t >= 0 && t < 360000) {
		return "-:--"
	}
	s := int(t)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// pace writes a pace in s/km as m:ss.
func pace(p float64) string {
	if !(p >= 30 && p < 3599.5) {
		return "-:--"
	}
	return clock(math.Round(p))
}

// length writes a length in m.
func length(m float64) string {
	switch {
	case !(m > 0 && m < 1e6):
		return "0 m"
	case m < 1000:
		return fmt.Sprintf("%.0f m", m)
	}
	return fmt.Sprintf("%.2f km", m/1000)
}

// cadence writes a cadence in whole steps/min.
func cadence(c float64) string {
	if !(c >= 1 && c < 999.5) {
		return "---"
	}
	return fmt.Sprintf("%.0f", c)
}

// percent writes a share of one.
func percent(v float64) string {
	if !(v >= 0 && v <= 1) {
		return "-- %"
	}
	return fmt.Sprintf("%.0f %%", 100*v)
}

// ago says how long before now t was.
func ago(now, t float64) string {
	d := now - t
	switch {
	case !(d >= 1):
		return "now"
	case d < 99.5:
		return fmt.Sprintf("%.0f s ago", d)
	}
	return fmt.Sprintf("%s ago", clock(d))
}

// title names a part: "Rep 3 of 8, set 2: 1 km".
func (p Part) title() string {
	t := p.name()
	if p.Rep > 0 && p.Of > 0 {
		t += fmt.Sprintf(" of %d", p.Of)
	}
	if p.Set > 0 {
		t += fmt.Sprintf(", set %d", p.Set)
	}
	if p.Label != "" {
		t += ": " + p.Label
	}
	return first(t, unicode.ToUpper)
}

// name is the short title: "rep 3".
func (p Part) name() string {
	switch {
	case p.Role == "" || p.Role == "free":
		return "free walk"
	case p.Rep > 0:
		return fmt.Sprintf("%s %d", p.Role, p.Rep)
	}
	return p.Role
}

// first changes the first letter of s.
func first(s string, change func(rune) rune) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(change(r)) + s[n:]
}

// plan is the planned end of a part, "" when it has none.
func (p Part) plan() string {
	switch {
	case known(p.Length) && p.Length >= 1000:
		return fmt.Sprintf("%.4g km", p.Length/1000)
	case known(p.Length):
		return length(p.Length)
	case known(p.Duration):
		return clock(p.Duration)
	}
	return ""
}

// verdict is what a walker has to know first.
type verdict struct {
	word   string // the state
	advice string // what to do
	sign   int    // -1 too slow, 1 too quick
	good   bool   // in the band
	calm   bool   // nothing is judged
}

// verdict judges the snapshot.
func (s *Snapshot) verdict() verdict {
	switch {
	case s.State == Ended:
		return verdict{word: "the walk has ended", calm: true}
	case s.Paused && s.Group.Paused:
		return verdict{word: "paused", advice: "the leader goes on", calm: true}
	case s.Paused:
		return verdict{word: "paused", advice: "P goes on", calm: true}
	}
	switch s.State {
	case Waiting:
		return verdict{word: "waiting for the start", calm: true}
	case Listening:
		return verdict{word: "listening", advice: "not certain yet", calm: true}
	case Standing:
		return verdict{word: "not walking", advice: s.Trouble, calm: s.Trouble == ""}
	case Deaf:
		return verdict{word: "cannot hear you", advice: s.Trouble}
	}
	free := s.State == Free || !known(s.Target)
	switch {
	case free && s.Part.Role == "recovery":
		return verdict{word: "recovery", advice: "easy", calm: true}
	case free:
		return verdict{word: "no target", advice: "as you like", calm: true}
	case s.State == TooSlow:
		return verdict{word: "too slow", advice: "quicken", sign: -1}
	case s.State == TooQuick:
		return verdict{word: "too quick", advice: "ease off", sign: 1}
	case s.State == InBand:
		return verdict{word: "on target", advice: "keep it", good: true}
	}
	return verdict{word: "not known", calm: true}
}
