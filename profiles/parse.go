package profiles

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"

	"github.com/pelletier/go-toml/v2"
)

// Error is a mistake in a profile.
type Error struct {
	File string
	Line int    // from 1; 0 when the file could not be read at all
	Text string // what is wrong, what is allowed, what to do
}

// Error returns "file:line: text".
func (e *Error) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Text
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Text)
}

// file is the profile as it stands in TOML.
type file struct {
	Name        string      `toml:"name"`
	Volume      float64     `toml:"volume"`
	LatencyMS   float64     `toml:"latency_ms"`
	LevelAtFull float64     `toml:"level_at_full,omitempty"`
	FirstFoot   string      `toml:"first_foot,omitempty"`
	StepLength  *float64    `toml:"step_length,omitempty"`
	StepLengths []Point     `toml:"step_lengths,inline,multiline,omitempty"`
	Target      *fileTarget `toml:"target,omitempty"`
	Band        *fileBand   `toml:"band,omitempty"`
	Beat        fileBeat    `toml:"beat"`
	Cues        fileCues    `toml:"cues"`
	Measured    []Measured  `toml:"measured,omitempty"`
}

type fileTarget struct {
	Cadence *float64 `toml:"cadence,omitempty"`
	Pace    *string  `toml:"pace,omitempty"`
}

type fileBand struct {
	Slow  *float64 `toml:"slow,omitempty"`
	Quick *float64 `toml:"quick,omitempty"`
	Unit  string   `toml:"unit"`
}

type fileBeat struct {
	On         bool    `toml:"on"`
	Mode       string  `toml:"mode"`
	Foot       string  `toml:"foot"`
	Every      int     `toml:"every"`
	Accent     int     `toml:"accent"`
	Recoveries bool    `toml:"recoveries"`
	AheadMS    float64 `toml:"ahead_ms"`
}

type fileCues struct {
	Layer   string  `toml:"layer"`
	Lines   string  `toml:"lines,omitempty"`
	Cadence bool    `toml:"cadence"`
	Uneven  float64 `toml:"uneven"`
}

const (
	unitSteps   = "steps/min"
	unitPercent = "%"
)

// Parse reads a profile. name stands for the file in errors; every error is an
// *[Error], and it is the first one found.
func Parse(name string, data []byte) (Athlete, error) {
	f := file{
		Volume: Defaults().Volume,
		Beat:   beatInFile(Defaults().Beat),
		Cues:   fileCues(Defaults().Cues),
	}
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&f); err != nil {
		line, text := words{kinds, tables}.explain(err, data)
		return Athlete{}, &Error{name, line, text}
	}
	a, bad := f.athlete()
	if bad != nil {
		return Athlete{}, &Error{name, keyLines(data).find(bad.key), bad.text}
	}
	return a, nil
}

// kinds says what each key wants, for a value of the wrong type.
var kinds = map[string]string{
	"name":                 `text in quotes, like "Mira Tal"`,
	"volume":               "a number from 0 to 1",
	"latency_ms":           "a number of milliseconds from 0 to 1000",
	"level_at_full":        "a number of dB(A) from 60 to 140",
	"first_foot":           `"left" or "right"`,
	"step_length":          "a number of metres from 0.3 to 2",
	"step_lengths":         "a list like [ { cadence = 180, length = 1.02 }, { cadence = 200, length = 1.10 } ]",
	"step_lengths.cadence": "a number of steps/min from 60 to 300",
	"step_lengths.length":  "a number of metres from 0.3 to 2",
	"target":               "a table: [target] on a line of its own, with cadence or pace below it",
	"target.cadence":       "a number of steps/min from 90 to 240",
	"target.pace":          `minutes and seconds in quotes, like "5:10"`,
	"band":                 "a table: [band] on a line of its own, with slow and quick below it",
	"band.slow":            "a number",
	"band.quick":           "a number",
	"band.unit":            `"steps/min" or "%"`,
	"beat":                 "a table: [beat] on a line of its own, with on, mode and foot below it",
	"beat.on":              "true or false, without quotes",
	"beat.mode":            `"steady", "lead", "follow" or "on demand"`,
	"beat.foot":            `"both", "left" or "right"`,
	"beat.every":           "1 or 4",
	"beat.accent":          "0 for none, or a whole number from 2 to 16",
	"beat.recoveries":      "true or false, without quotes",
	"beat.ahead_ms":        "a number of milliseconds from 0 to 100",
	"measured":             "tables: [[measured]] on a line of its own, for each measurement",
	"measured.date":        `a day in quotes, like "2026-05-30"`,
	"measured.note":        "text in quotes",
	"measured.cadence":     "a number of steps/min from 60 to 300",
	"measured.length":      "a number of metres from 0.3 to 2",
	"measured.length_sd":   "a number of metres from 0 to 1",
	"measured.distance":    "a number of metres",
	"cues":                 "a table: [cues] on a line of its own, with layer, lines, cadence and uneven below it",
	"cues.layer":           `"tones", "speech" or "lines"`,
	"cues.lines":           "a folder in quotes",
	"cues.cadence":         "true or false, without quotes",
	"cues.uneven":          "0 for never, or a number of % from 1 to 20",
}

// tables lists the keys of each table, for a key nobody knows.
var tables = map[string]string{
	"":             "name, volume, latency_ms, level_at_full, first_foot, step_length, step_lengths, [target], [band], [beat], [cues], [[measured]]",
	"step_lengths": "cadence, length",
	"target":       "cadence, pace",
	"band":         "slow, quick, unit",
	"beat":         "on, mode, foot, every, accent, recoveries, ahead_ms",
	"measured":     "date, note, cadence, length, length_sd, distance",
	"cues":         "layer, lines, cadence, uneven",
}

// clean makes one printable line of text from outside.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, s)
	if len(s) > 200 {
		s = strings.ToValidUTF8(s[:200], "") + "…"
	}
	return s
}
