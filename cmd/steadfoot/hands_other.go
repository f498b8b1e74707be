//go:build !unix

package main

// openPipe is for systems that have named pipes.
func (h *hands) openPipe(string) error {
	return usagef("there are no named pipes on this system; use unix:PATH")
}
