package coach

// Policy says when something is said. All times are in seconds of the session.
//
// Where a reason below names no source, the default is the project's choice: a
// rhythm is an average over some seconds, so it takes a few of them until a
// change of the walk is seen at all, and a walker who hears a word needs as long
// again to answer it.
type Policy struct {
	// Lead is how long after the event that caused it a cue starts to sound:
	// 0.15 to 2, default 0.25. Sound is rendered about 0.1 s ahead; what is
	// nearer than that is too late to be played where it was meant to be.
	Lead float64 `json:"lead"`
	// Span is the room a cue gets: two cues start at least this far apart, and
	// the beat starts this long after the start signal. 0.5 to 10, default 2.
	// No cue sounds for longer, so no two sound at once.
	Span float64 `json:"span"`
	// Quiet is how long nothing is said about the cadence after the start and
	// after each time the walker sets off again: 0 to 120, default 10. Getting
	// going is not a mistake.
	Quiet float64 `json:"quiet"`
	// Leave is how long the cadence must be out of the band, without a break,
	// before it is said: 0 to 60, default 3. A bend or a kerb is shorter.
	Leave float64 `json:"leave"`
	// Margin is how far inside the band, in steps/min, the cadence must be
	// before it counts as settled: 0 to 20, default 1. It is never more than
	// half of that side of the band. Without it a walker at the very edge
	// would be told off and praised in turn.
	Margin float64 `json:"margin"`
	// Stay is how long the cadence must be that far inside before 'settled' is
	// said: 0 to 60, default 5.
	Stay float64 `json:"stay"`
	// MinGap is the least time between two cues about the cadence, and between
	// two losses of hearing: 1 to 600, default 15. That is at most four a
	// minute, if the walker keeps leaving and coming back.
	MinGap float64 `json:"min_gap"`
	// Fade is what the gap is multiplied by each time the walker was told and
	// has not settled since: 1 to 10, default 2. Who does not answer does not
	// want, or cannot.
	Fade float64 `json:"fade"`
	// MaxGap is where Fade stops: MinGap to 3600, default 60.
	MaxGap float64 `json:"max_gap"`
	// MaxSD is the standard error of the cadence, in steps/min, above which
	// the coach does not go by it: more than 0 to 20, default 2. That is half
	// of the default band.
	MaxSD float64 `json:"max_sd"`
	// MinHeard is the share of recent steps that must have been heard and not
	// bridged: 0 to 1, default 0.3. Bridged steps are the detector's own
	// expectation and say little about the walker.
	MinHeard float64 `json:"min_heard"`
	// Lost is how long hearing must be lost before 'cannot hear' is said, and
	// Back how long walking must be heard before 'heard again' is: 0 to 60,
	// defaults 2 and 1.
	Lost float64 `json:"lost"`
	Back float64 `json:"back"`
}

// DefaultPolicy returns the defaults named at each field of [Policy].
func DefaultPolicy() Policy {
	return Policy{
		Lead:     0.25,
		Span:     2,
		Quiet:    10,
		Leave:    3,
		Margin:   1,
		Stay:     5,
		MinGap:   15,
		Fade:     2,
		MaxGap:   60,
		MaxSD:    2,
		MinHeard: 0.3,
		Lost:     2,
		Back:     1,
	}
}

func (p Policy) limits() []limit {
	return []limit{
		{"lead", p.Lead, 0.15, 2, "s"},
		{"span", p.Span, 0.5, 10, "s"},
		{"quiet", p.Quiet, 0, 120, "s"},
		{"leave", p.Leave, 0, 60, "s"},
		{"margin", p.Margin, 0, 20, "steps/min"},
		{"stay", p.Stay, 0, 60, "s"},
		{"min_gap", p.MinGap, 1, 600, "s"},
		{"fade", p.Fade, 1, 10, ""},
		{"max_gap", p.MaxGap, p.MinGap, 3600, "s"},
		{"max_sd", p.MaxSD, 0.01, 20, "steps/min"},
		{"min_heard", p.MinHeard, 0, 1, ""},
		{"lost", p.Lost, 0, 60, "s"},
		{"back", p.Back, 0, 60, "s"},
	}
}
