package main

import (
	"fmt"
	"os"
	"path/filepath"
)

// storePath returns the file the walks are kept in, as storeFile does, and
// makes its folder when it is missing.
func storePath(flag string) (string, error) {
	path, err := storeFile(flag)
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", fmt.Errorf("no place for the log: %w; name another file with --store", err)
	}
	return path, nil
}

// storeFile returns the file the walks are kept in: what --store names,
// otherwise steadfoot/log.db in the folder for a user's data, which is
// $XDG_DATA_HOME or ~/.local/share.
func storeFile(flag string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	data := os.Getenv("XDG_DATA_HOME")
	if !filepath.IsAbs(data) { // one that is not absolute counts as not set
		home, err := os.UserHomeDir()
		if err != nil {
			return "", fmt.Errorf("no place for the log: %w; name a file with --store", err)
		}
		data = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(data, "steadfoot", "log.db"), nil
}
