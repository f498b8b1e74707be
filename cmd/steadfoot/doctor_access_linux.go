package main

import (
	"context"
	"path/filepath"
	"syscall"
)

// checkAccess looks whether the sound card, if there is one, may be used.
func checkAccess(context.Context, *checkup) []finding {
	nodes, _ := filepath.Glob("/dev/snd/pcm*") // only a bad pattern is an error
	const readAndWrite = 6
	open := 0
	for _, n := range nodes {
		if syscall.Access(n, readAndWrite) == nil {
			open++
		}
	}
	return []finding{judgeAccess(len(nodes), open)}
}

// judgeAccess is given how many ways into a sound card there are, and how many of
// them are open to this user.
func judgeAccess(nodes, open int) finding {
	switch {
	case nodes == 0:
		return okay("there is no sound card of the machine's own; a sound server may give others")
	case open < nodes:
		return warn("unless a sound server plays for you: sudo usermod -aG audio $USER, then log out and in again",
			"%d of %d parts of the sound card may not be used by this user", nodes-open, nodes)
	}
	return okay("the sound card may be used")
}
