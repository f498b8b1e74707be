package group

import (
	"errors"
	"fmt"
	"math"
	"net/url"
	"strings"
	"unicode/utf8"
)

// Bounds of what a message may say, wide enough for every walk and machine.
const (
	maxCadence = 400   // steps/min
	maxPace    = 3600  // s/km
	maxAhead   = 5     // group time of a status or step beyond now, s
	maxBehind  = 600   // and before now: a member that lost the network tells what it kept, s
	maxDelay   = 5000  // of a sound output, ms
	maxUnsure  = 1e6   // clock of a member, ms
	maxNote    = 200   // runes of a note
	maxAddress = 200   // bytes of an address
	maxTime    = 1e12  // any clock, s
	maxSteps   = 10000 // steps a mean is of
	maxPages   = 100   // of walkers of a spare
)

// Check tells what is wrong with the message of a member, if anything.
func (j Join) Check() error {
	if j.Version != Version {
		return fmt.Errorf("this leader speaks version %d of the conversation, not %d: use the same steadfoot on both sides, or reload the page", Version, j.Version)
	}
	if CleanName(j.Name) == "" {
		return errors.New("a walker needs a name with at least one letter")
	}
	if len(j.Way) > 20 {
		return errors.New("way is too long")
	}
	return nil
}

// Check tells what is wrong with the message, if anything.
func (p Ping) Check() error { return within("t1", p.T1, -maxTime, maxTime) }

// Check tells what is wrong with the message, if anything. now is the group
// time, s; At is not judged of a member that does not know the clock yet.
func (s Status) Check(now float64) error {
	switch s.Hears {
	case HearsNothing, HearsDeaf, HearsStill, HearsWalking:
	default:
		return fmt.Errorf("hears %.20q is no state of a walker", s.Hears)
	}
	if s.N < 0 || s.N > maxSteps {
		return fmt.Errorf("n %d is out of range", s.N)
	}
	from, to := now-maxBehind, now+maxAhead
	if s.Clock == 0 {
		from, to = -maxTime, maxTime
	}
	return first(
		within("at", s.At, from, to),
		within("cadence", s.Cadence, 0, maxCadence),
		within("sd", s.SD, 0, maxCadence),
		within("pace", s.Pace, 0, maxPace),
		within("uneven", s.Uneven, -200, 200), // %, the index is so bounded
		within("off", s.Off, -1500, 1500),
		within("r", s.R, 0, 1),
		within("clock", s.Clock, 0, maxUnsure),
		within("latency", s.Latency, 0, maxDelay),
	)
}

// Check tells what is wrong with the message, if anything. now is the group
// time, s.
func (s Steps) Check(now float64) error {
	if len(s.Steps) > MaxSteps {
		return fmt.Errorf("%d steps at once are more than %d", len(s.Steps), MaxSteps)
	}
	last := math.Inf(-1)
	for _, step := range s.Steps {
		if err := first(
			within("t", step.T, now-maxBehind, now+maxAhead),
			within("confidence", step.Confidence, 0, 1),
		); err != nil {
			return err
		}
		if step.T < last {
			return fmt.Errorf("step at %.3f s comes after one at %.3f s", step.T, last)
		}
		last = step.T
	}
	return nil
}

// Check tells what is wrong with the message, if anything.
func (k Key) Check() error {
	if k.Version != Version {
		return fmt.Errorf("this leader speaks version %d of the conversation, not %d: use the same steadfoot on both sides, or reload the page", Version, k.Version)
	}
	if len(k.Spare) > maxAddress || CleanAddress(k.Spare) != k.Spare {
		return errors.New("the address of the spare has characters no address has, or is too long")
	}
	if k.Term < 0 || k.Term > 0 && k.Spare == "" {
		return errors.New("a term is that of a spare with an address")
	}
	return nil
}

// Check tells what is wrong with the message, if anything, and cleans the names.
func (r Rows) Check() error {
	if r.Pages < 1 || r.Pages > maxPages || r.Page < 0 || r.Page >= r.Pages {
		return fmt.Errorf("page %d of %d is out of range", r.Page, r.Pages)
	}
	if len(r.Walkers) > MaxRows {
		return fmt.Errorf("%d walkers at once are more than %d", len(r.Walkers), MaxRows)
	}
	for i := range r.Walkers {
		w := &r.Walkers[i]
		w.Name, w.Group, w.Way, w.ID, w.Hub = CleanName(w.Name), CleanName(w.Group), CleanName(w.Way), CleanName(w.ID), ""
	}
	return nil
}

// Check tells what is wrong with the command before anyone who knows the group
// looks at it, in one line.
func (c Command) Check() error {
	switch c.Do {
	case DoTarget, DoShift, DoSession, DoStart, DoSkip, DoPause, DoResume, DoStop,
		DoBeatOn, DoBeatOff, DoBeat, DoGroup, DoMove, DoRemove:
	default:
		return fmt.Errorf("%.20q is nothing a leader can do", c.Do)
	}
	if CleanName(c.Group) != c.Group {
		return fmt.Errorf("the name of a group has at most %d visible characters, with single spaces", MaxName)
	}
	if c.Group == "" && (c.Do == DoGroup || c.Do == DoMove) {
		return fmt.Errorf("%s needs the name of a group", c.Do)
	}
	if c.Walker == "" && (c.Do == DoMove || c.Do == DoRemove) {
		return fmt.Errorf("%s needs a walker", c.Do)
	}
	if utf8.RuneCountInString(c.Note) > maxNote {
		return fmt.Errorf("a note has at most %d characters", maxNote)
	}
	return first(
		within("cadence", c.Cadence, 0, maxCadence),
		within("pace", c.Pace, 0, maxPace),
		within("length", c.Length, 0, 5),
		within("slow", c.Slow, 0, maxCadence),
		within("quick", c.Quick, 0, maxCadence),
		within("by", c.By, -maxCadence, maxCadence),
		within("every", float64(c.Every), 0, 64),
		within("accent", float64(c.Accent), 0, 64),
	)
}

// CleanAddress returns s without what no network address has: all but the
// visible characters of ASCII.
func CleanAddress(s string) string {
	b := make([]byte, 0, len(s))
	for _, c := range []byte(s) {
		if c > ' ' && c < 0x7F && c != '"' && c != '<' && c != '>' && c != '\\' {
			b = append(b, c)
		}
	}
	return string(b)
}

// HostOf is the host and port in the address of a hub, "" where there is none.
func HostOf(address string) string {
	if !strings.Contains(address, "://") {
		address = "ws://" + address
	}
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return u.Host
}

// within tells when v is not a number from low to high.
func within(what string, v, low, high float64) error {
	if !(v >= low && v <= high) { // NaN fails both
		return fmt.Errorf("%s %g is out of range", what, v)
	}
	return nil
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
