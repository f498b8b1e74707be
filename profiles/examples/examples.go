// Package examples holds profiles to start from, of an invented club.
package examples

import "embed"

// Files are the example profiles, such as mira-tal.toml.
//
//go:embed *.toml
var Files embed.FS
