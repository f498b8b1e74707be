//go:build !linux

package local

import "time"

// ThisMachine is a clock that begins with the program: here a leader who was
// interrupted cannot go on by itself, but a spare can.
func ThisMachine() Machine { return sinceStart{} }

type sinceStart struct{}

func (sinceStart) Boot() string       { return "" }
func (sinceStart) Now() time.Duration { return time.Since(started) }

var started = time.Now()
