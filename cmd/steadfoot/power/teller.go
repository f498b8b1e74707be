package power

import (
	"fmt"
	"strings"
)

// Teller decides when a walk is told of the battery: once when it is low and
// once when it is all but empty, and again only after it was charged meanwhile.
// The zero value is ready.
type Teller struct{ told Level }

// charged is how much above a bound the charge must be to have been charged
// unseen, as while the machine slept, %.
const charged = 5.0

// Tell returns what is to be told of s, with what to do; "" for nothing.
func (t *Teller) Tell(s State) string {
	switch {
	case s.above(Low, lowAt):
		t.told = Enough
	case s.above(Critical, criticalAt):
		t.told = min(t.told, Low)
	}
	if !s.Discharging || s.Level <= t.told {
		return ""
	}
	t.told = s.Level
	what, do := "the battery is low", "plug the machine in, or plan to end the walk in time"
	if s.Level == Critical {
		what, do = "the battery is all but empty", "plug the machine in now, or end the walk"
	}
	if s.Percent >= 0 {
		what = fmt.Sprintf("%s: %s", what, strings.TrimPrefix(s.String(), "at "))
	}
	return what + "; " + do + "; everything is written to the log at once"
}

// above tells that the charge has come above a level, and does not only waver
// around its bound in %.
func (s State) above(level Level, bound float64) bool {
	return s.Level < level && (!s.Discharging || s.Percent > bound+charged)
}
