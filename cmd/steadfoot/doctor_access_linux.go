package main

import (
	"context"
	"path/filepath"
	"syscall"
)

// checkAccess looks whether the sound card and devices of keys, if there are any,
// may be used.
func checkAccess(context.Context, *checkup) []finding {
	const read, write = 4, 2
	found := []finding{judgeAccess(mayUse("/dev/snd/pcm*", read|write))}
	if all, open := mayUse("/dev/input/event*", read); all > 0 {
		found = append(found, judgeKeys(all, open))
	}
	return found
}

// mayUse counts the devices of a pattern, and those of them open to this user.
func mayUse(pattern string, how uint32) (all, open int) {
	nodes, _ := filepath.Glob(pattern) // only a bad pattern is an error
	for _, n := range nodes {
		if syscall.Access(n, how) == nil {
			open++
		}
	}
	return len(nodes), open
}

// judgeKeys is the same for devices of keys, which few walks need.
func judgeKeys(all, open int) finding {
	f := okay("the keys of headsets and remotes may be read (walk --hands key:DEVICE)")
	if open < all {
		f = okay("%d of %d devices of keys may not be read; only walk --hands key: and button: need them, after sudo usermod -aG input $USER", all-open, all)
	}
	f.Check = "keys"
	return f
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
