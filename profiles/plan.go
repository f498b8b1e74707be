package profiles

// Plan is a session of reps as it will be walked: a list of parts, one after
// the other. It is made from a session file by [ParsePlan]; sets are already
// laid out, rep after rep. Targets are as the file gave them; which cadence they
// come to depends on the athlete.
type Plan struct {
	Name  string     `json:"name"`
	Note  string     `json:"note,omitempty"`
	Lap   float64    `json:"lap,omitempty"`  // what a lap mark stands for, m; 0 when marks tell no distance
	Race  float64    `json:"race,omitempty"` // pace that percentages refer to, s/km; 0 when there are none
	Parts []PlanPart `json:"parts"`
}

// PlanPart is one part of a plan. Of Length, Duration and Ready one is set: that
// is what ends it.
type PlanPart struct {
	Role      string     `json:"role"` // as in event.Part
	Label     string     `json:"label,omitempty"`
	Set       int        `json:"set,omitempty"` // from 1; 0 outside of sets
	Rep       int        `json:"rep,omitempty"` // within its set, from 1
	Of        int        `json:"of,omitempty"`  // reps in that set
	Length    float64    `json:"length,omitempty"`
	Duration  float64    `json:"duration,omitempty"`
	Ready     bool       `json:"ready,omitempty"` // until a person says so
	From      PlanTarget `json:"from"`            // target at the start; the zero value is free
	To        PlanTarget `json:"to"`              // target at the end of a ramp; the zero value: as at the start
	Band      *Band      `json:"band,omitempty"`  // instead of the athlete's
	Beat      string     `json:"beat,omitempty"`  // mode, or "off"; "" as the athlete has it (in recoveries: off)
	Reminders []Reminder `json:"reminders,omitempty"`
}

// PlanTarget is a target as the session file gives it: at most one is set.
type PlanTarget struct {
	Cadence float64 `json:"cadence,omitempty"` // steps/min
	Pace    float64 `json:"pace,omitempty"`    // s/km; percentages of a race pace or race speed are already worked out
	Said    string  `json:"said,omitempty"`    // as it was written, like "103 % of race speed"
}

// Reminder is a voice line of the coach at a place in a part. Of Length and
// Duration one is set; a negative one counts from the end.
type Reminder struct {
	Line     string  `json:"line"`
	Length   float64 `json:"length,omitempty"`   // m from the start of the part
	Duration float64 `json:"duration,omitempty"` // s from the start of the part
	Every    bool    `json:"every,omitempty"`    // again and again at that interval
}
