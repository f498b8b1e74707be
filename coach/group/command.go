package group

// Command is what a coach wants of a group, or of the groups.
type Command struct {
	Kind string `json:"kind,omitempty"` // KindCommand on the wire
	N    int    `json:"n,omitempty"`    // comes back in Done
	// T is the group time at which it counts, s; the leader sets it.
	T     float64 `json:"t,omitempty"`
	Do    string  `json:"do"`
	Group string  `json:"group"`

	Cadence float64 `json:"cadence,omitempty"` // of DoTarget, steps/min
	Pace    float64 `json:"pace,omitempty"`    // of DoTarget, s/km; needs Length
	Length  float64 `json:"length,omitempty"`  // step length the group is reckoned with, m; of DoTarget and DoSession
	Slow    float64 `json:"slow,omitempty"`    // band below and above, steps/min; 0 leaves them
	Quick   float64 `json:"quick,omitempty"`   //
	By      float64 `json:"by,omitempty"`      // of DoShift, steps/min
	Every   int     `json:"every,omitempty"`   // of DoBeat, as coach.BeatChoice
	Accent  int     `json:"accent,omitempty"`  //
	Session string  `json:"session,omitempty"` // text of a session file, of DoSession
	Walker  string  `json:"walker,omitempty"`  // Walker.ID, of DoMove and DoRemove
	Note    string  `json:"note,omitempty"`    // of DoLap
}

// What can be done. Those about a group go to its conductor; DoGroup, DoMove and
// DoRemove are the leader's own.
const (
	DoTarget  = "target"   // a target by hand; starts the group when nothing runs
	DoShift   = "shift"    // moves the target by By
	DoSession = "session"  // takes up a session, to be started
	DoStart   = "start"    // begins the session, or the target set by hand
	DoSkip    = "skip"     // ends the present part; 'ready' where it waits for it
	DoPause   = "pause"    //
	DoResume  = "resume"   //
	DoStop    = "stop"     // ends the session; the beat falls silent
	DoBeatOn  = "beat on"  //
	DoBeatOff = "beat off" //
	DoBeat    = "beat"     // every step or fewer, accents
	DoGroup   = "group"    // makes a group
	DoMove    = "move"     // moves Walker to Group
	DoRemove  = "remove"   // sends Walker away
)
