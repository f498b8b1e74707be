package main

import (
	"context"
	"os"
	"strings"

	"steadfoot/audio/cue"
	"steadfoot/profiles"
)

// checkProfiles looks at the profile that is named, or at all in their folder.
func checkProfiles(_ context.Context, c *checkup) []finding {
	names := []string{c.profile}
	if c.profile == "" {
		dir, err := profileFolder()
		if err != nil {
			return []finding{warn("set HOME, or give walk --profile a path", "%v", err)}
		}
		if names = profiles.Names(os.DirFS(dir)); len(names) == 0 {
			return []finding{okay("there is none in %s; a profile keeps an athlete's target, step length and sound", dir)}
		}
	}
	output, _ := c.output.Load().(string)
	var found []finding
	for _, name := range names {
		found = append(found, checkProfile(name, output)...)
	}
	return found
}

// checkProfile reads one profile, and the recordings it names.
func checkProfile(name, output string) []finding {
	a, err := findProfile(name)
	if err == nil {
		err = linesBeside(&a, name)
	}
	if err != nil {
		return []finding{fault("write that file as the line says; README tells what may be in it", "%v", err)}
	}
	found := judgeProfile(name, a, output)
	if a.Cues.Lines == "" {
		return found
	}
	_, warnings, err := cue.NewVoice(cue.Lines, a.Cues.Lines)
	const mend = "'steadfoot cues' tells how recordings are named, and what they may be"
	if err != nil {
		return append(found, fault(mend, "%s: the recordings: %v", name, err))
	}
	for _, w := range warnings {
		found = append(found, warn(mend, "%s: the recordings: %s", name, w))
	}
	return found
}

// judgeProfile says what a profile lacks; output is the name of the earphones, ""
// when it is not known.
func judgeProfile(name string, a profiles.Athlete, output string) []finding {
	var found []finding
	if len(a.StepLength) == 0 {
		found = append(found, warn("'steadfoot measure --help' has the ways to measure one; --save puts it into the profile",
			"%s: no step length, so there is no pace and no distance", name))
	}
	if a.LatencyMS == 0 && wireless(output) {
		found = append(found, warn("'steadfoot latency --profile "+name+" --save' measures it and puts it into the profile",
			"%s: no latency_ms, and %q looks wireless: the beat comes too late", name, output))
	}
	if len(found) > 0 {
		return found
	}
	return []finding{okay("%s: step length known, latency %.0f ms", name, a.LatencyMS)}
}

// wireless tells whether a device is called as wireless ones are.
func wireless(device string) bool {
	device = strings.ToLower(device)
	for _, part := range []string{"bluetooth", "bluez", "wireless", "buds", "a2dp", "hands-free", "handsfree"} {
		if strings.Contains(device, part) {
			return true
		}
	}
	return false
}
