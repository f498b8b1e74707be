//go:build !linux

package main

import "io"

// openKeyDevice is for Linux, where every device of keys is a file.
func openKeyDevice(string) (io.ReadCloser, error) {
	return nil, usagef("keys of a device can be read on Linux only; use unix:PATH, or the walk's own keys")
}
