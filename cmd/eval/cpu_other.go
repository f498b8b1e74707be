//go:build !unix

package main

import "time"

var started = time.Now()

// cpuTime is the time since the start: this system tells no better one in the
// standard library.
func cpuTime() time.Duration { return time.Since(started) }
