package profiles

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// words explain the mistakes in one kind of file.
type words struct {
	kinds  map[string]string // what each key wants, for a value of the wrong type
	tables map[string]string // the keys of each table, for a key nobody knows
}

// explain turns an error that the TOML reader had with data into a line and a
// sentence.
func (w words) explain(err error, data []byte) (int, string) {
	var at *toml.DecodeError
	if unknown := (*toml.StrictMissingError)(nil); errors.As(err, &unknown) {
		at = &unknown.Errors[0]
		line, _ := at.Position()
		key := whole(at.Key(), line, data)
		return line, fmt.Sprintf("unknown key %s; %s; correct the spelling or remove it", clean(strings.Join(key, ".")), w.allowed(key))
	}
	if !errors.As(err, &at) {
		return 1, clean(err.Error())
	}
	line, _ := at.Position()
	key := strings.ToLower(strings.Join(at.Key(), "."))
	what := clean(strings.TrimPrefix(at.Error(), "toml: "))
	if kind, ok := w.kinds[key]; ok && !strings.Contains(what, "already") {
		return line, fmt.Sprintf("%s has a value of the wrong kind; allowed: %s; change the value", key, kind)
	}
	return line, what + "; allowed: TOML, one key = value a line; correct the line"
}

// whole returns the key on a line with all its tables: the TOML reader leaves out
// that of an inline table in a list.
func whole(key toml.Key, line int, data []byte) toml.Key {
	last := "." + strings.ToLower(key[len(key)-1])
	lines := keyLines(data)
	for _, name := range slices.Sorted(maps.Keys(lines)) {
		if lines[name] == line && strings.HasSuffix(name, last) && strings.Count(name, ".") >= len(key) {
			return strings.Split(index.ReplaceAllString(name, ""), ".")
		}
	}
	return key
}

var index = regexp.MustCompile(`\[\d+\]`)

func (w words) allowed(key toml.Key) string {
	table := strings.ToLower(strings.Join(key[:len(key)-1], "."))
	if list, ok := w.tables[table]; ok && table != "" {
		return "allowed in " + table + ": " + list
	}
	return "allowed: " + w.tables[""]
}
