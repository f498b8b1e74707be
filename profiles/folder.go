package profiles

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
)

// Folder is where profiles live below the user's configuration folder (what
// os.UserConfigDir gives: on Linux $XDG_CONFIG_HOME, or ~/.config without it):
// steadfoot/profiles/NAME.toml.
const Folder = "steadfoot/profiles"

// maxFile is far more than any profile needs; a larger file is something else.
const maxFile = 64 << 10

// IsPath tells whether what a user typed is the path of a file and not the name
// of a profile in [Folder].
func IsPath(arg string) bool {
	return strings.ContainsAny(arg, `/\`) || strings.HasSuffix(arg, ".toml")
}

// Find reads the profile name.toml at the top of fsys. When there is none, the
// error names those that are there.
func Find(fsys fs.FS, name string) (Athlete, error) {
	a, err := Load(fsys, name+".toml")
	if !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrInvalid) {
		return a, err
	}
	there := "no profiles are there"
	if names := Names(fsys); len(names) > 0 {
		there = "there are: " + strings.Join(names, ", ")
	}
	return Athlete{}, fmt.Errorf("no profile %q (%s); write %s, or give the path of a file: %w", clean(name), there, path.Join(Folder, clean(name)+".toml"), fs.ErrNotExist)
}

// Names lists the profiles at the top of fsys, sorted.
func Names(fsys fs.FS) []string {
	found, err := fs.Glob(fsys, "*.toml")
	if err != nil {
		panic("profiles: " + err.Error()) // only the pattern can be wrong
	}
	for i := range found {
		found[i] = strings.TrimSuffix(found[i], ".toml")
	}
	return found
}

// Load reads the profile at a path of fsys.
func Load(fsys fs.FS, name string) (Athlete, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return Athlete{}, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return Athlete{}, err
	}
	if len(data) > maxFile {
		return Athlete{}, &Error{File: name, Text: fmt.Sprintf("more than %d kB; allowed: a TOML profile of a few lines; check the path", maxFile>>10)}
	}
	return Parse(name, data)
}
