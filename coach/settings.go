package coach

import (
	"errors"
	"fmt"

	"steadfoot/detect"
	"steadfoot/profiles"
)

// Settings is everything a coach knows before the walk. It is stored in the
// header of the log, so that the same coach can be built again: two coaches
// with equal Settings give equal answers to the same events.
type Settings struct {
	// Athlete is the walker's name; it is only carried along.
	Athlete string `json:"athlete,omitempty"`
	// Cadence is the target in steps/min, 90 to 240.
	Cadence float64 `json:"cadence"`
	// Pace is the target pace in s/km when it was given as one, otherwise 0.
	// Cadence is what it comes to; the coach goes by Cadence.
	Pace float64 `json:"pace,omitempty"`
	// StepLength turns cadence into pace; empty when it is not known.
	StepLength profiles.Curve `json:"step_length,omitempty"`
	// Slow and Quick are how far below and above the target the cadence may
	// be, in steps/min, more than 0 and at most 60.
	Slow  float64 `json:"slow"`
	Quick float64 `json:"quick"`
	// Plan is the session; nil is one walk at the target without an end.
	Plan *profiles.Plan `json:"plan,omitempty"`
	// Lap is what a lap mark stands for where there is no Plan, m, 50 to 50 000;
	// 0: marks tell no distance.
	Lap float64 `json:"lap,omitempty"`
	// Beat is what is played.
	Beat BeatChoice `json:"beat"`
	// Ahead is how long before a beat the walker's foot usually comes down, s,
	// 0 to 0.1: people step a little before the beat they follow. Where the
	// beat is set by the feet it is set so much later.
	Ahead float64 `json:"ahead,omitempty"`
	// Spans is how long cues last that are longer than Policy.Span, s, by name,
	// reminders as "reminder:LINE".
	Spans map[string]float64 `json:"spans,omitempty"`
	// FirstFoot is the foot of the first beat; Unknown counts as Left.
	FirstFoot detect.Side `json:"first_foot,omitempty"`
	// Policy says when something is said.
	Policy Policy `json:"policy"`
}

// BeatMode says how the beat goes with the walker.
type BeatMode string

// The modes. The zero value is Steady.
const (
	Steady BeatMode = "steady"    // at the target, whatever the feet do
	Lead   BeatMode = "lead"      // from where the walker is to the target, in changes too small to be noticed
	Follow BeatMode = "follow"    // phase goes with the feet, period to the target
	Demand BeatMode = "on demand" // silent within the band; comes when it is left, and fades out again
	Shared BeatMode = "shared"    // that of a group, as its leader wants it; the target and the parts too
)

// BeatChoice is the choice of beat.
type BeatChoice struct {
	On   bool     `json:"on"`
	Mode BeatMode `json:"mode,omitempty"`
	// Foot is the one foot that gets a beat; Unknown is both, a beat every
	// step.
	Foot detect.Side `json:"foot,omitempty"`
	// Every is how many steps apart the beats are: 0 or 1 every step, or 4. It
	// goes with Foot Unknown.
	Every int `json:"every,omitempty"`
	// Accent makes every so many-th beat stronger: 0 none, 2 to 16.
	Accent int `json:"accent,omitempty"`
	// Recoveries tells whether the beat goes on in recoveries.
	Recoveries bool `json:"recoveries,omitempty"`
}

// For returns the settings of an athlete, with the default policy. A target
// pace becomes the cadence that the athlete's step length needs for it.
func For(a profiles.Athlete) (Settings, error) {
	s := Settings{
		Athlete:    a.Name,
		Cadence:    a.Target.Cadence,
		Pace:       a.Target.Pace,
		StepLength: a.StepLength,
		Beat:       choiceOf(a.Beat),
		Ahead:      a.Beat.AheadMS / 1000,
		FirstFoot:  SideOf(a.FirstFoot),
		Policy:     DefaultPolicy(),
	}
	s.Policy.Lead += a.LatencyMS / 1000 // what takes long to the ear must be decided so much earlier
	s.Policy.Uneven = a.Cues.Uneven
	if a.Cues.Cadence {
		s.Policy.Tell = tellEvery
	}
	if s.Cadence == 0 && s.Pace == 0 {
		return Settings{}, errors.New("there is no target; give a cadence like 192 steps/min, or a pace like 5:10 with a step length")
	}
	if s.Cadence == 0 {
		if len(s.StepLength) == 0 {
			return Settings{}, errors.New("a target pace needs a step length; give one, like 1.05 m")
		}
		if err := s.StepLength.Check(); err != nil {
			return Settings{}, err
		}
		s.Cadence = s.StepLength.Cadence(s.Pace)
	}
	s.Slow, s.Quick = a.Band.StepsPerMin(s.Cadence)
	return s, s.Validate()
}

// tellEvery is the least time between two figures when a profile asks for them,
// s: no more than every second correction is followed by one.
const tellEvery = 60.0

func choiceOf(b profiles.Beat) BeatChoice {
	return BeatChoice{
		On: b.On, Mode: BeatMode(b.Mode), Foot: SideOf(b.Foot),
		Every: b.Every, Accent: b.Accent, Recoveries: b.Recoveries,
	}
}

// SideOf is a profile's foot as the coach has it; Unknown for both.
func SideOf(f profiles.Foot) detect.Side {
	switch f {
	case profiles.Left:
		return detect.Left
	case profiles.Right:
		return detect.Right
	}
	return detect.Unknown
}

// Band returns the ends of the band in steps/min.
func (s Settings) Band() (low, high float64) {
	return s.Cadence - s.Slow, s.Cadence + s.Quick
}

// Validate names the first setting that is not allowed, and the range that is.
func (s Settings) Validate() error {
	limits := []limit{
		{"target cadence", s.Cadence, detect.Slowest, detect.Fastest, "steps/min"},
		{"slow side of the band", s.Slow, 0.1, 60, "steps/min"},
		{"quick side of the band", s.Quick, 0.1, 60, "steps/min"},
		{"ahead", s.Ahead, 0, 0.1, "s"},
	}
	if s.Pace != 0 {
		limits = append(limits, limit{"target pace", s.Pace, 120, 1200, "s/km"})
	}
	if s.Lap != 0 {
		limits = append(limits, limit{"lap", s.Lap, 50, 50_000, "m"})
	}
	if err := check(append(limits, s.Policy.limits()...)); err != nil {
		return err
	}
	if s.Beat.Foot > detect.Right || s.FirstFoot > detect.Right {
		return errors.New("a foot is left, right or unknown")
	}
	if err := s.Beat.Validate(); err != nil {
		return err
	}
	if s.Plan != nil && s.Beat.Mode == Shared {
		return errors.New("the leader of a group has the session; with a shared beat there is no other")
	}
	if s.Plan != nil {
		if err := s.Plan.Check(); err != nil {
			return fmt.Errorf("the session: %w", err)
		}
	}
	for name, span := range s.Spans {
		if !(span > 0 && span <= longestSpan) {
			return fmt.Errorf("span of %q is %v s; allowed: more than 0 to %v", name, span, longestSpan)
		}
	}
	return s.StepLength.Check()
}

// longestSpan is the longest a cue may be, s.
const longestSpan = 60.0

// Validate names what is not allowed in the choice, and what is.
func (b BeatChoice) Validate() error {
	switch b.Mode {
	case "", Steady, Lead, Follow, Demand, Shared:
	default:
		return fmt.Errorf("beat mode is %q; allowed: steady, lead, follow, on demand", b.Mode)
	}
	switch {
	case b.Every != 0 && b.Every != 1 && b.Every != 4:
		return fmt.Errorf("a beat every %d steps; allowed: every step (0 or 1), or every 4", b.Every)
	case b.Every == 4 && b.Foot != detect.Unknown:
		return errors.New("every fourth step falls on the same foot already; choose that or one foot, not both")
	case b.Accent < 0 || b.Accent == 1 || b.Accent > 16:
		return fmt.Errorf("accent on every %d beats; allowed: 0 for none, 2 to 16", b.Accent)
	}
	return nil
}

// limit is the range of one setting.
type limit struct {
	name   string
	value  float64
	lo, hi float64
	unit   string
}

func check(limits []limit) error {
	for _, l := range limits {
		if !(l.value >= l.lo && l.value <= l.hi) {
			return fmt.Errorf("%s is %v %s; allowed: %v to %v", l.name, l.value, l.unit, l.lo, l.hi)
		}
	}
	return nil
}
