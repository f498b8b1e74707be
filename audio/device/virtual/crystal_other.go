//go:build !linux

package virtual

import (
	"os"
	"time"
)

// shorten cannot be done here: a pipe holds what it holds.
func shorten(*os.File) error { return nil }

// hurry is for Linux.
func hurry() {}

// rest sleeps until that time.
func rest(until time.Time) { time.Sleep(time.Until(until)) }
