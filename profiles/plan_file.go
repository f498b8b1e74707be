package profiles

import (
	"bytes"

	"github.com/pelletier/go-toml/v2"
)

// planFile is a session as it stands in TOML.
type planFile struct {
	Name     string     `toml:"name"`
	Note     string     `toml:"note"`
	Lane     *int       `toml:"lane"`
	Lap      *string    `toml:"lap"`
	Race     *planRace  `toml:"race"`
	WarmUp   *planPiece `toml:"warm_up"`
	Set      []planSet  `toml:"set"`
	CoolDown *planPiece `toml:"cool_down"`
}

// planRace is the race that percentages refer to.
type planRace struct {
	Pace     *string `toml:"pace"`
	Distance *string `toml:"distance"`
	Time     *string `toml:"time"`
}

// planPiece is what every part can have.
type planPiece struct {
	Label  string       `toml:"label"`
	For    string       `toml:"for"`
	Target string       `toml:"target"`
	To     *string      `toml:"to"`
	Effort []planEffort `toml:"effort"`
	Glide  bool         `toml:"glide"`
	Beat   string       `toml:"beat"`
	Band   *fileBand    `toml:"band"`
	Remind []planRemind `toml:"remind"`
}

type planEffort struct {
	At     string `toml:"at"`
	Target string `toml:"target"`
}

type planRemind struct {
	Say       string  `toml:"say"`
	At        *string `toml:"at"`
	Every     *string `toml:"every"`
	BeforeEnd *string `toml:"before_end"`
}

type planSet struct {
	Label   string    `toml:"label"`
	Rounds  *int      `toml:"rounds"`
	Between *string   `toml:"between"`
	After   *string   `toml:"after"`
	Rep     []planRep `toml:"rep"`
}

type planRep struct {
	planPiece
	Times          *int    `toml:"times"`
	Last           *string `toml:"last"`
	Drill          bool    `toml:"drill"`
	Recovery       *string `toml:"recovery"`
	RecoveryTarget string  `toml:"recovery_target"`
	RecoveryBeat   string  `toml:"recovery_beat"`
}

// ParsePlan reads a session file. name stands for the file in errors; every
// error is an *[Error], and it is the first one found. The plan that comes out
// passes [Plan.Check].
//
// A session file:
//
//	name = "Kilometres"
//	note = "What it is for."
//	lane = 1                     # of a standard track; or lap = "1 km"; or neither
//	race = { distance = "20 km", time = "1:32:00" }   # or { pace = "4:36" }
//
//	[warm_up]
//	for = "15:00"                # a distance, a time, or "ready": until the key
//
//	[[set]]
//	rounds = 2                   # the whole set twice
//	between = "5:00"             # after a round, in place of the last recovery
//	after = "ready"              # after the set, likewise; "none" for nothing
//
//	[[set.rep]]
//	times = 5
//	for = "1 km"                 # "400 m", "2 laps", "5:00", "30 s"
//	target = "100 % of race pace"    # free when it is left out
//	to = "103 % of race speed"   # a ramp within each rep
//	last = "98 % of race pace"   # or: from rep to rep, up to this one
//	recovery = "200 m"           # after each rep, the last one too
//	recovery_target = "150 steps/min"
//	recovery_beat = "steady"
//	beat = "lead"                # "off", "steady", "lead", "follow", "on demand"
//	band = { slow = 2, quick = 2 }
//	drill = false                # true: a drill, and label says which
//	remind = [
//	  { say = "posture", at = "500 m" },
//	  { say = "arms", before_end = "100 m" },
//	  { say = "shoulders", every = "400 m" },
//	]
//
//	[[set.rep]]                  # an effort plan along a long part
//	for = "25 km"
//	effort = [
//	  { at = "0 km", target = "85 % of race speed" },
//	  { at = "20 km", target = "90 % of race speed" },
//	]
//	glide = true                 # in a straight line from point to point
//
//	[cool_down]
//	for = "10:00"
func ParsePlan(name string, data []byte) (*Plan, error) {
	var f planFile
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&f); err != nil {
		line, text := planWords.explain(err, data)
		return nil, &Error{name, line, text}
	}
	l := layout{file: &f, plan: &Plan{}}
	if bad := l.all(); bad != nil {
		return nil, &Error{name, keyLines(data).find(bad.key), bad.text}
	}
	return l.plan, nil
}

const (
	textKind  = `text in quotes`
	boolKind  = "true or false, without quotes"
	wholeKind = "a whole number, without quotes"
	placeKind = `a distance or a time in quotes, like "400 m" or "5:00"`
	aimKind   = "in quotes, " + aimAllowed
	beatKind  = `"off", "steady", "lead", "follow" or "on demand"`
	bandKind  = "a table like { slow = 4, quick = 4 }"
	pieceKeys = "label, for, target, to, effort, glide, beat, band, remind"
)

// planWords are the words for a session file.
var planWords = withPieces(words{
	kinds: map[string]string{
		"name": `text in quotes, like "Kilometres"`, "note": textKind,
		"lane": "a whole number from 1 to 9, without quotes", "lap": `a distance in quotes, like "1 km"`,
		"race":      `a table like { pace = "4:30" } or { distance = "20 km", time = "1:30:00" }`,
		"race.pace": `minutes and seconds in quotes, like "4:30"`, "race.distance": `a distance in quotes, like "20 km"`, "race.time": `a time in quotes, like "1:30:00"`,
		"set":     "tables: [[set]] on a line of its own, for each set",
		"set.rep": "tables: [[set.rep]] on a line of its own, for each kind of rep", "set.label": textKind, "set.rounds": wholeKind,
		"set.between": placeKind + `, "ready" or "none"`, "set.after": placeKind + `, "ready" or "none"`,
		"set.rep.times": wholeKind, "set.rep.last": aimKind, "set.rep.drill": boolKind,
		"set.rep.recovery": placeKind + `, "ready" or "none"`, "set.rep.recovery_target": aimKind, "set.rep.recovery_beat": beatKind,
		"warm_up":   "a table: [warm_up] on a line of its own, with for below it",
		"cool_down": "a table: [cool_down] on a line of its own, with for below it",
	},
	tables: map[string]string{
		"":        "name, note, lane, lap, race, [warm_up], [[set]], [cool_down]",
		"race":    "pace, or distance and time",
		"set":     "label, rounds, between, after, [[set.rep]]",
		"set.rep": pieceKeys + ", times, last, drill, recovery, recovery_target, recovery_beat",
	},
})

// withPieces adds the words for what every part can have.
func withPieces(w words) words {
	for _, piece := range []string{"warm_up", "cool_down", "set.rep"} {
		for key, kind := range map[string]string{
			"label": textKind, "for": placeKind + ` or "ready"`, "target": aimKind, "to": aimKind, "glide": boolKind, "beat": beatKind,
			"effort":    `a list like [ { at = "0 km", target = "4:40 /km" }, { at = "10 km", target = "4:30 /km" } ]`,
			"effort.at": placeKind, "effort.target": aimKind,
			"band": bandKind, "band.slow": "a number", "band.quick": "a number", "band.unit": `"steps/min" or "%"`,
			"remind":     `a list like [ { say = "posture", at = "500 m" } ]`,
			"remind.say": `text in quotes, like "posture"`, "remind.at": placeKind, "remind.every": placeKind, "remind.before_end": placeKind,
		} {
			w.kinds[piece+"."+key] = kind
		}
		if _, ok := w.tables[piece]; !ok {
			w.tables[piece] = pieceKeys
		}
		w.tables[piece+".effort"] = "at, target"
		w.tables[piece+".band"] = "slow, quick, unit"
		w.tables[piece+".remind"] = "say, at, every, before_end"
	}
	return w
}
