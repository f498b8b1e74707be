package profiles

import (
	"fmt"
	"strconv"
	"strings"
)

// Limits of one part: from a few strides to more than anyone walks in a day.
const (
	minPart, maxPart         = 10.0, 100_000.0 // m
	minPartTime, maxPartTime = 5.0, 12 * 3600. // s
)

// The words for an end that is no distance and no time.
const (
	wordReady = "ready"
	wordNone  = "none"
)

const (
	partsAllowed = `a distance ("400 m", "1.5 km", "2 laps"), a time ("5:00", "30 s", "10 min") or "ready"`
	paceAllowed  = `"4:30 /km"`
)

// extent is how long a part lasts: one of the three is set, or none.
type extent struct {
	length   float64 // m
	duration float64 // s
	ready    bool
}

// readExtent reads what stands behind 'for', 'recovery' and the like. lap is the
// length of a lap in m, 0 when there is none.
func readExtent(s string, lap float64) (extent, error) {
	if s = strings.TrimSpace(s); s == wordReady {
		return extent{ready: true}, nil
	}
	e, err := readPlace(s, lap)
	switch {
	case err != nil:
		return extent{}, err
	case e.length != 0 && !within(e.length, minPart, maxPart):
		return extent{}, fmt.Errorf("%q is out of range; allowed: 10 m to 100 km; correct the distance", clean(s))
	case e.length == 0 && !within(e.duration, minPartTime, maxPartTime):
		return extent{}, fmt.Errorf("%q is out of range; allowed: 5 s to 12 h; correct the time", clean(s))
	}
	return e, nil
}

// readPlace reads a distance or a time of any size.
func readPlace(s string, lap float64) (extent, error) {
	s = strings.TrimSpace(s)
	if strings.Contains(s, ":") {
		if sec, ok := readClock(s); ok {
			return extent{duration: sec}, nil
		}
		return extent{}, unreadable(s)
	}
	number := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyz ")
	x, ok := decimal(number)
	if !ok {
		return extent{}, unreadable(s)
	}
	switch unit := strings.TrimSpace(s[len(number):]); unit {
	case "m":
		return extent{length: x}, nil
	case "km":
		return extent{length: 1000 * x}, nil
	case "lap", "laps":
		if lap == 0 {
			return extent{}, fmt.Errorf(`%q: the length of a lap is not known; allowed: laps where lane or lap is given; write lane = 1 or lap = "1 km" at the top`, clean(s))
		}
		return extent{length: x * lap}, nil
	case "s":
		return extent{duration: x}, nil
	case "min":
		return extent{duration: 60 * x}, nil
	case "h":
		return extent{duration: 3600 * x}, nil
	}
	return extent{}, unreadable(s)
}

func unreadable(s string) error {
	return fmt.Errorf("%q cannot be read; allowed: %s; write a number and its unit", clean(s), partsAllowed)
}

// readClock reads m:ss or h:mm:ss, the seconds with a fraction if wanted.
func readClock(s string) (float64, bool) {
	parts := strings.Split(s, ":")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, false
	}
	sum := 0.0
	for i, p := range parts {
		whole, _, fraction := strings.Cut(p, ".")
		x, ok := decimal(p)
		if !ok || len(whole) > 4 || i > 0 && (len(whole) != 2 || x >= 60) || fraction && i < len(parts)-1 {
			return 0, false
		}
		sum = 60*sum + x
	}
	return sum, true
}

// targetUnit is in which words a target is given.
type targetUnit uint8

const (
	free targetUnit = iota
	inCadence
	inPace
	ofRacePace
	ofRaceSpeed
)

// aim is a target as it is written: 103 % of race pace takes 3 % longer, 103 %
// of race speed is 3 % quicker.
type aim struct {
	unit  targetUnit
	value float64 // steps/min, s/km or %
}

const aimAllowed = `"192 steps/min", ` + paceAllowed + `, "103 % of race pace" (slower), "103 % of race speed" (quicker) or "free"`

// readAim reads a target.
func readAim(s string) (aim, error) {
	s = strings.Join(strings.Fields(s), " ")
	if s == "" || s == "free" {
		return aim{}, nil
	}
	for _, of := range []struct {
		words string
		unit  targetUnit
	}{{"of race pace", ofRacePace}, {"of race speed", ofRaceSpeed}} {
		if share, ok := strings.CutSuffix(s, of.words); ok {
			number, percent := strings.CutSuffix(strings.TrimSpace(share), "%")
			x, ok := decimal(strings.TrimSpace(number))
			if !percent || !ok {
				break
			}
			if !within(x, 50, 150) {
				return aim{}, fmt.Errorf("target %q is out of range; allowed: 50 to 150 %%; correct the percentage", clean(s))
			}
			return aim{of.unit, x}, nil
		}
	}
	if number, ok := strings.CutSuffix(s, "steps/min"); ok {
		x, ok := decimal(strings.TrimSpace(number))
		if ok && !within(x, minCadence, maxCadence) {
			return aim{}, fmt.Errorf("target %q is out of range; allowed: %v to %v steps/min; count both feet", clean(s), minCadence, maxCadence)
		}
		if ok {
			return aim{inCadence, x}, nil
		}
	}
	pace := strings.TrimSpace(strings.TrimSuffix(s, "/km"))
	if x, ok := paceSeconds(pace); ok && strings.Contains(pace, ":") {
		if !within(x, minPace, maxPace) {
			return aim{}, fmt.Errorf("target %q is out of range; allowed: 2:00 to 20:00 for a kilometre; correct the pace", clean(s))
		}
		return aim{inPace, x}, nil
	}
	return aim{}, fmt.Errorf("target %q cannot be read; allowed: %s; write one of these", clean(s), aimAllowed)
}

// target works an aim out; race is the race pace in s/km, 0 when there is none.
func (a aim) target(race float64) (PlanTarget, error) {
	t := PlanTarget{Said: a.String()}
	switch a.unit {
	case free:
		return PlanTarget{}, nil
	case inCadence:
		t.Cadence = a.value
		return t, nil
	case inPace:
		t.Pace = a.value
		return t, nil
	}
	if race == 0 {
		return PlanTarget{}, fmt.Errorf(`%s needs a race; allowed: a pace, or a distance and a time; write race = { distance = "20 km", time = "1:30:00" } at the top`, t.Said)
	}
	t.Pace = race * a.value / 100
	if a.unit == ofRaceSpeed {
		t.Pace = race * 100 / a.value
	}
	if !within(t.Pace, minPace, maxPace) {
		return PlanTarget{}, fmt.Errorf("%s is %.0f s for a kilometre; allowed: 2:00 to 20:00; correct the percentage or the race", t.Said, t.Pace)
	}
	return t, nil
}

// String writes the aim as a session file has it, to a tenth.
func (a aim) String() string {
	number := strconv.FormatFloat(float64(int(a.value*10+0.5))/10, 'f', -1, 64)
	switch a.unit {
	case inCadence:
		return number + " steps/min"
	case inPace:
		tenths := int(a.value*10 + 0.5)
		text := fmt.Sprintf("%d:%02d", tenths/600, tenths/10%60)
		if tenths%10 != 0 {
			text += fmt.Sprintf(".%d", tenths%10)
		}
		return text + " /km"
	case ofRacePace:
		return number + " % of race pace"
	case ofRaceSpeed:
		return number + " % of race speed"
	}
	return "free"
}

// between is the aim a share of the way from a to b, which have the same unit.
func (a aim) between(b aim, share float64) aim {
	return aim{a.unit, a.value + (b.value-a.value)*share}
}
