package profiles

import (
	"bytes"
	"errors"
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
	FirstFoot   string      `toml:"first_foot,omitempty"`
	StepLength  *float64    `toml:"step_length,omitempty"`
	StepLengths []Point     `toml:"step_lengths,inline,multiline,omitempty"`
	Target      *fileTarget `toml:"target,omitempty"`
	Band        *fileBand   `toml:"band,omitempty"`
	Beat        fileBeat    `toml:"beat"`
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
	On   bool   `toml:"on"`
	Foot string `toml:"foot"`
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
		Beat:   fileBeat{On: Defaults().Beat.On, Foot: string(Defaults().Beat.Foot)},
	}
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&f); err != nil {
		line, text := explain(err)
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
	"beat":                 "a table: [beat] on a line of its own, with on and foot below it",
	"beat.on":              "true or false, without quotes",
	"beat.foot":            `"both", "left" or "right"`,
}

// tables lists the keys of each table, for a key nobody knows.
var tables = map[string]string{
	"":             "name, volume, latency_ms, first_foot, step_length, step_lengths, [target], [band], [beat]",
	"step_lengths": "cadence, length",
	"target":       "cadence, pace",
	"band":         "slow, quick, unit",
	"beat":         "on, foot",
}

// explain turns an error of the TOML reader into a line and a sentence.
func explain(err error) (int, string) {
	var at *toml.DecodeError
	if unknown := (*toml.StrictMissingError)(nil); errors.As(err, &unknown) {
		at = &unknown.Errors[0]
		line, _ := at.Position()
		return line, fmt.Sprintf("unknown key %s; %s; correct the spelling or remove it", clean(strings.Join(at.Key(), ".")), allowedKeys(at.Key()))
	}
	if !errors.As(err, &at) {
		return 1, clean(err.Error())
	}
	line, _ := at.Position()
	key := strings.ToLower(strings.Join(at.Key(), "."))
	what := clean(strings.TrimPrefix(at.Error(), "toml: "))
	if kind, ok := kinds[key]; ok && !strings.Contains(what, "already") {
		return line, fmt.Sprintf("%s has a value of the wrong kind; allowed: %s; change the value", key, kind)
	}
	return line, what + "; allowed: TOML, one key = value a line; correct the line"
}

func allowedKeys(key toml.Key) string {
	table := strings.ToLower(strings.Join(key[:len(key)-1], "."))
	if list, ok := tables[table]; ok && table != "" {
		return "allowed in " + table + ": " + list
	}
	return "allowed: " + tables[""]
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
