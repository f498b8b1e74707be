// Package sessions holds sessions to start from, of an invented club.
package sessions

import (
	"embed"
	"io/fs"
	"strings"
)

// Files are the example sessions, such as kilometres.toml.
//
//go:embed *.toml
var Files embed.FS

// Names lists the examples, sorted, without .toml.
func Names() []string {
	found, err := fs.Glob(Files, "*.toml")
	if err != nil {
		panic("sessions: " + err.Error()) // only the pattern can be wrong
	}
	for i := range found {
		found[i] = strings.TrimSuffix(found[i], ".toml")
	}
	return found
}
