package profiles

import (
	"slices"
	"strings"
)

const (
	maxAhead      = 100.0 // ms
	mostAccent    = 16    // beats
	minUneven     = 1.0   // %
	maxUneven     = 20.0  // %
	maxLinesChars = 1000
)

var (
	beatModes = []string{Steady, Lead, Follow, Demand}
	layers    = []string{"tones", "speech", "lines"}
)

// beat checks what is played.
func (f *file) beat(a *Athlete) *fault {
	b := f.Beat
	switch foot := Foot(b.Foot); {
	case foot != Both && foot != Left && foot != Right:
		return faultf("beat.foot", `foot is %q; allowed: "both", "left" or "right"; to hear no beat write on = false`, clean(b.Foot))
	case !slices.Contains(beatModes, b.Mode):
		return faultf("beat.mode", `mode is %q; allowed: "steady", "lead", "follow" or "on demand"; to hear no beat write on = false`, clean(b.Mode))
	case b.Every != 1 && b.Every != 4:
		return faultf("beat.every", `every is %d; allowed: 1 (each step) or 4 (each fourth); for each second step write every = 1 and foot = "left"`, b.Every)
	case b.Every == 4 && foot != Both:
		return faultf("beat.every", `every fourth step falls on the same foot already; allowed: every = 4 with foot = "both"; remove foot`)
	case b.Accent != 0 && !(b.Accent >= 2 && b.Accent <= mostAccent):
		return faultf("beat.accent", "accent is %d; allowed: 0 (none) or 2 to %d; 4 makes each fourth beat stronger", b.Accent, mostAccent)
	case !within(b.AheadMS, 0, maxAhead):
		return faultf("beat.ahead_ms", "ahead_ms is %v; allowed: 0 to %v ms; about 30 is usual", b.AheadMS, maxAhead)
	default:
		a.Beat = Beat{On: b.On, Mode: b.Mode, Foot: foot, Every: b.Every, Accent: b.Accent, Recoveries: b.Recoveries, AheadMS: b.AheadMS}
	}
	return nil
}

// cues checks what is said.
func (f *file) cues(a *Athlete) *fault {
	c := f.Cues
	switch {
	case !slices.Contains(layers, c.Layer):
		return faultf("cues.layer", `layer is %q; allowed: "tones", "speech" or "lines"; "speech" needs no recordings`, clean(c.Layer))
	case len(c.Lines) > maxLinesChars || strings.ContainsFunc(c.Lines, unprintable):
		return faultf("cues.lines", "lines is no folder; allowed: the path of a folder in one printable line; correct the path")
	case c.Layer == layers[2] && c.Lines == "":
		return faultf("cues.layer", `layer is "lines" but no folder is named; allowed: lines = "folder" beside it; add it below [cues]`)
	case c.Uneven != 0 && !within(c.Uneven, minUneven, maxUneven):
		return faultf("cues.uneven", "uneven is %v; allowed: 0 (never told) or %v to %v %%; about 4 is usual", c.Uneven, minUneven, maxUneven)
	}
	a.Cues = Cues(c)
	return nil
}
