package coach

// Policy says when something is said. All times are in seconds of the session.
//
// Where a reason below names no source, the default is the project's choice: a
// rhythm is an average over some seconds, so it takes a few of them until a
// change of the walk is seen at all, and a walker who hears a word needs as long
// again to answer it.
type Policy struct {
	// Lead is how long after the event that caused it a cue starts to sound, or
	// a beat may change: 0.15 to 2, default 0.25, and with an athlete's earbuds
	// their latency on top. Sound is rendered about 0.15 s ahead; what is nearer
	// than that is too late to be played where it was meant to be.
	Lead float64 `json:"lead"`
	// Span is the room a cue gets: two cues start at least this far apart. 0.5 to
	// 10, default 2. Those that sound for longer are named in Settings.Spans, so
	// that no two sound at once.
	Span float64 `json:"span"`
	// AtOnce has the beat begin with the start signal, default true: who has given
	// the word to start wants to walk, and hears the beat under a word as at any
	// other time. Else it begins Span later, as in walks stored before there was
	// this field.
	AtOnce bool `json:"at_once,omitempty"`
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
	// MinGap is the least time between two cues about the walk, and between two
	// losses of hearing: 1 to 600, default 15. Besides, advice is never one of
	// more than three cues within a minute, whatever the policy.
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
	// Patience takes the place of a shorter Leave while a beat is playing: 0 to
	// 120, default 20. The beat is told first, and a word on top of it may make
	// the walker do twice as much.
	Patience float64 `json:"patience"`
	// Turn is how long after a word its opposite is held back: 0 to 300, default
	// 240. Who does too much mostly comes back alone; called back at once, they
	// go from side to side: with 90 s twice as many of cmd/eval's simulated walkers
	// did, and no fewer were in the band.
	Turn float64 `json:"turn"`
	// TooMuch is how often the walker must have answered a word by passing
	// through the whole band before quicken and ease give way to the cadence in
	// digits, which tell how much is missing: 1 to 100, default 1; 0 is never.
	TooMuch float64 `json:"too_much"`
	// SettleGap is the least time between two 'settled': 0 to 3600, default 60.
	SettleGap float64 `json:"settle_gap"`
	// Grace is how long nothing is said about the cadence after the target
	// has changed by more than 1 %: 0 to 60, default 8. The rhythm is a mean
	// over 4 s, and the walker needs about as long for the change.
	Grace float64 `json:"grace"`
	// Hold is how long the walker must have been right without a word before
	// 'hold' is said: 20 to 3600, default 120; 0 is never. The pause doubles
	// each time.
	Hold float64 `json:"hold"`
	// Falling is the time over which a sinking cadence is looked for, while it
	// is still in the band: 30 to 120, default 75; 0 is never. FallBy is by how
	// much it must have sunk over that time, in steps/min: more than 0 to 20,
	// default 2, half of the default band. FallGap is the least time between
	// two such cues: 0 to 3600, default 300.
	Falling float64 `json:"falling"`
	FallBy  float64 `json:"fall_by"`
	FallGap float64 `json:"fall_gap"`
	// Uneven is the symmetry index of the step times, in %, beyond which the
	// walker is called uneven: 0.5 to 20, default 3.77; 0 is never. That is a
	// symmetry angle of 1.2 %, from which race walkers on a treadmill were
	// called asymmetrical (Tucker and Hanley 2016). UnevenStay is how long it
	// must be so, 0 to 120, default 30, and UnevenGap the least time between
	// two such cues, 0 to 3600, default 300.
	Uneven     float64 `json:"uneven"`
	UnevenStay float64 `json:"uneven_stay"`
	UnevenGap  float64 `json:"uneven_gap"`
	// Tell is the least time between two figures: the cadence in digits after
	// quicken, ease or settled. 0 to 3600, default 0: never.
	Tell float64 `json:"tell"`
}

// DefaultPolicy returns the defaults named at each field of [Policy].
func DefaultPolicy() Policy {
	return Policy{
		Lead:     0.25,
		Span:     2,
		AtOnce:   true,
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

		Patience:   20,
		Turn:       240,
		TooMuch:    1,
		SettleGap:  60,
		Grace:      8,
		Hold:       120,
		Falling:    75,
		FallBy:     2,
		FallGap:    300,
		Uneven:     3.77,
		UnevenStay: 30,
		UnevenGap:  300,
	}
}

func (p Policy) limits() []limit {
	all := []limit{
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
		{"patience", p.Patience, 0, 120, "s"},
		{"turn", p.Turn, 0, 300, "s"},
		{"settle_gap", p.SettleGap, 0, 3600, "s"},
		{"grace", p.Grace, 0, 60, "s"},
		{"fall_gap", p.FallGap, 0, 3600, "s"},
		{"uneven_stay", p.UnevenStay, 0, 120, "s"},
		{"uneven_gap", p.UnevenGap, 0, 3600, "s"},
	}
	// What is 0 is never said; a policy stored before there was such a cue has 0.
	for _, l := range []limit{
		{"too_much", p.TooMuch, 1, 100, ""},
		{"hold", p.Hold, 20, 3600, "s"},
		{"falling", p.Falling, 30, 120, "s"},
		{"fall_by", p.FallBy, 0.1, 20, "steps/min"},
		{"uneven", p.Uneven, 0.5, 20, "%"},
		{"tell", p.Tell, 1, 3600, "s"},
	} {
		if l.value != 0 {
			all = append(all, l)
		}
	}
	return all
}
