package profiles

// Plan is a session of reps as it will be walked: a list of parts, one after
// the other. It is made from a session file by [ParsePlan]; sets are already
// laid out, rep after rep. Targets are as the file gave them; which cadence they
// come to depends on the athlete.
type Plan struct {
	Name  string     `json:"name"`
	Note  string     `json:"note,omitempty"`
	Lane  int        `json:"lane,omitempty"` // of a standard track, 1 to 9; 0 elsewhere
	Lap   float64    `json:"lap,omitempty"`  // what a lap mark stands for, m; 0 when marks tell no distance
	Race  float64    `json:"race,omitempty"` // pace that percentages refer to, s/km; 0 when there are none
	Parts []PlanPart `json:"parts"`
}

// PlanPart is one part of a plan. Of Length, Duration and Ready one is set: that
// is what ends it.
type PlanPart struct {
	Role      string      `json:"role"` // PlanWarmUp and so on
	Label     string      `json:"label,omitempty"`
	Set       int         `json:"set,omitempty"`      // from 1, each round of a set counted; 0 outside of sets
	Rep       int         `json:"rep,omitempty"`      // within its set, from 1; of a recovery the rep before it
	Of        int         `json:"of,omitempty"`       // reps in that set
	Length    float64     `json:"length,omitempty"`   // m
	Duration  float64     `json:"duration,omitempty"` // s
	Ready     bool        `json:"ready,omitempty"`    // until a person says so
	Targets   []PlanPoint `json:"targets,omitempty"`  // by rising At, the first at 0; none: the walker is free
	Band      *Band       `json:"band,omitempty"`     // instead of the athlete's
	Beat      string      `json:"beat,omitempty"`     // mode, or "off"; "" as the athlete has it (in recoveries usually off)
	Reminders []Reminder  `json:"reminders,omitempty"`
}

// Roles of the parts of a plan, with the words of event.Part.
const (
	PlanWarmUp   = "warm-up"
	PlanRep      = "rep"
	PlanDrill    = "drill"
	PlanRecovery = "recovery"
	PlanCoolDown = "cool-down"
)

// BeatOff is the PlanPart.Beat of a part without a beat.
const BeatOff = "off"

// Works tells whether a part is what the session is walked for: a rep or a
// drill.
func (p PlanPart) Works() bool { return p.Role == PlanRep || p.Role == PlanDrill }

// PlanPoint is the target from a place in a part on.
type PlanPoint struct {
	At     float64    `json:"at,omitempty"` // from the start of the part, in the unit of its end: m or s
	Target PlanTarget `json:"target"`
	// Glide: from here the target goes in a straight line to that of the next
	// point, or, after the last one, stays.
	Glide bool `json:"glide,omitempty"`
}

// PlanTarget is a target as the session file gives it: at most one of Cadence
// and Pace is set; neither: the walker is free.
type PlanTarget struct {
	Cadence float64 `json:"cadence,omitempty"` // steps/min
	Pace    float64 `json:"pace,omitempty"`    // s/km; percentages of a race pace or race speed are already worked out
	Said    string  `json:"said,omitempty"`    // in words, like "103 % of race speed"
}

// Free tells whether there is no target.
func (t PlanTarget) Free() bool { return t.Cadence == 0 && t.Pace == 0 }

// Reminder is a voice line of the coach at a place in a part. Of Length and
// Duration one is set; a negative one counts from the end.
type Reminder struct {
	Line     string  `json:"line"`
	Length   float64 `json:"length,omitempty"`   // m from the start of the part
	Duration float64 `json:"duration,omitempty"` // s from the start of the part
	Every    bool    `json:"every,omitempty"`    // again and again at that interval
}
