package cue

import "slices"

// LongCue is the length above which a cue is listed by [Voice.Spans], s.
const LongCue = 2.0

// Voice has the sounds of all cues in one layer.
type Voice struct {
	layer   Layer
	lines   *lines
	figures map[int]*Clip
}

// NewVoice makes the voice of a layer. folder has the coach's recordings, named
// by cue; "" is none. They are all read and levelled here. Those of a cue are
// used in the layer Lines, those of reminders in every layer. Warnings, one line
// each, name the files that were left out and why; the error is a folder that
// cannot be read. The other sounds are made meanwhile: who first asks for one waits.
func NewVoice(layer Layer, folder string) (v *Voice, warnings []string, err error) {
	v = &Voice{layer: layer, lines: &lines{}, figures: map[int]*Clip{}}
	if folder != "" {
		v.lines, warnings, err = readLines(folder)
	}
	if err != nil {
		return nil, nil, err
	}
	go together(func() { bank() }, func() { speech() }) // figures are spoken in every layer
	return v, warnings, nil
}

// Ready returns once all sounds are made.
func (v *Voice) Ready() { bank(); speech() }

// Clip gives the sound of a cue. value is the figure that "cadence" tells, in
// steps/min and rounded to a whole number of up to three digits; line is the
// recording that "reminder" plays, a short note when there is none of that
// name. Recordings that differ only in a number at the end of their names take
// turns. It is false for a name that is no cue. The clip of "countdown" lasts
// three seconds: what is counted to is due three seconds after its onset.
func (v *Voice) Clip(name string, value float64, line string) (*Clip, bool) {
	if name == "cadence" {
		return v.figure(value)
	}
	if name == "reminder" {
		if c := v.lines.next(line); c != nil {
			return c, true
		}
	} else if v.layer == Lines {
		if c := v.lines.next(name); c != nil {
			return c, true
		}
	}
	s, ok := Named(name)
	if !ok || s.IsClick() {
		return nil, false
	}
	return v.builtIn(s), true
}

// builtIn is the sound of a cue that no recording is played for.
func (v *Voice) builtIn(s Sound) *Clip {
	if c := speech().cues[s]; c != nil && v.layer != Tones {
		return c
	}
	return bank()[s]
}

// Names lists the cues that every layer has a sound for.
func Names() []string {
	var all []string
	for _, s := range All() {
		if !s.IsClick() {
			all = append(all, s.String())
		}
	}
	return append(all, "cadence")
}

// Describe tells how a cue sounds in the layers Tones and Speech, in words; "" for
// a name that is no cue.
func Describe(name string) (tones, said string) {
	if name == "cadence" {
		return "spoken digits", "its digits"
	}
	s, ok := Named(name)
	if !ok {
		return "", ""
	}
	switch w, spoken := words[s]; {
	case s == Countdown:
		said = "three, two, one"
	case spoken:
		said = w.text
	default:
		said = table[s].tones
	}
	return table[s].tones, said
}

// Spans gives the length, s, of every cue that may be longer than LongCue: by
// its name, and for a reminder by "reminder:" and the name of its line.
func (v *Voice) Spans() map[string]float64 {
	all := map[string]float64{}
	note := func(name string, clips ...*Clip) {
		longest := 0.0
		for _, c := range clips {
			longest = max(longest, c.Seconds())
		}
		if longest > LongCue {
			all[name] = longest
		}
	}
	for _, name := range Names() {
		s, ok := Named(name)
		switch takes := v.lines.takes[name]; {
		case v.layer == Lines && takes != nil:
			note(name, takes.clips...)
		case ok:
			note(name, v.builtIn(s))
		}
	}
	if longest := v.longestFigure(); longest > LongCue {
		all["cadence"] = longest
	}
	for name, t := range v.lines.takes {
		note("reminder:"+name, t.clips...)
	}
	return all
}

// Recorded lists the names of the recordings that were read, sorted: cues and
// lines of reminders. Those that only differ in a number at the end count both
// with and without it; capitals, hyphens and underscores make no difference.
func (v *Voice) Recorded() []string {
	var all []string
	for name := range v.lines.takes {
		if name == plain(name) {
			all = append(all, name)
		}
	}
	slices.Sort(all)
	return all
}
