package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/coach/event"
)

const cuesHelp = `
Lists every cue a walker may hear, what it means, and how it sounds as a tone and
as speech. A third layer is your own voice, or your coach's: a folder of
recordings named by cue, such as "quicken.wav" or "rep start.ogg". Recordings
"ease 1.wav" and "ease 2.wav" take turns; "0.wav" to "9.wav" tell the cadence;
any other name is the line of a reminder in a session, such as "posture.flac".
They are brought to one loudness. With --lines the folder is checked and listed.

With --out each cue is written as a WAV file, at full volume, to listen to.

Examples:
  steadfoot cues
  steadfoot cues --out cues
  steadfoot cues --out cues --layer speech
  steadfoot cues --out cues --say 192
  steadfoot cues --lines recordings`

// cueOptions are the flags of the command.
type cueOptions struct {
	out, layer, lines string
	say               int
}

func runCues(_ context.Context, std stdio, args []string) error {
	fs := newFlags(std, "cues", "cues [flags]", cuesHelp)
	var o cueOptions
	fs.StringVar(&o.out, "out", "", "folder to write WAV files to")
	fs.StringVar(&o.layer, "layer", "", "write this layer only: tones, speech or lines")
	fs.StringVar(&o.lines, "lines", "", "folder of recordings")
	fs.IntVar(&o.say, "say", 192, "write only this number, as a cadence is told")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	layers, err := o.layers()
	if err != nil {
		return err
	}
	switch {
	case fs.Changed("say") && (o.say < 0 || o.say > 999):
		return usagef("--say %d: want 0 to 999", o.say)
	case fs.Changed("say") && o.out == "":
		return usagef("--say needs --out FOLDER to write to")
	case fs.Changed("layer") && o.out == "":
		return usagef("--layer needs --out FOLDER to write to")
	}
	names := cue.Names()
	if fs.Changed("say") {
		names = []string{event.CueCadence}
	}
	voices, err := loadVoices(std, layers, o.lines)
	if err != nil {
		return err
	}
	if o.out != "" {
		return writeCues(std.out, o, layers, voices, names)
	}
	if err := printCues(std.out); err != nil || o.lines == "" {
		return err
	}
	return printRecordings(std.out, voices[len(voices)-1])
}

// layers are those that are asked for: all there is without --layer.
func (o cueOptions) layers() ([]cue.Layer, error) {
	if o.layer == "" {
		if o.lines == "" {
			return []cue.Layer{cue.Tones, cue.Speech}, nil
		}
		return []cue.Layer{cue.Tones, cue.Speech, cue.Lines}, nil
	}
	l, err := cue.ParseLayer(o.layer)
	if err != nil {
		return nil, usagef("--layer: %v", err)
	}
	if l == cue.Lines && o.lines == "" {
		return nil, usagef("--layer lines needs --lines FOLDER with the recordings")
	}
	return []cue.Layer{l}, nil
}

// loadVoices makes one voice per layer. Only the last one reads the recordings,
// so each warning is given once; a layer that is not Lines has no use for them.
func loadVoices(std stdio, layers []cue.Layer, folder string) ([]*cue.Voice, error) {
	var all []*cue.Voice
	for i, l := range layers {
		from := ""
		if i == len(layers)-1 {
			from = folder
		}
		v, warnings, err := cue.NewVoice(l, from)
		if err != nil {
			return nil, err
		}
		for _, w := range warnings {
			fmt.Fprintln(std.err, w)
		}
		all = append(all, v)
	}
	return all, nil
}

// meanings says what each cue tells the walker.
var meanings = map[string]string{
	event.CueStart:     "the walk begins",
	event.CueEnd:       "the walk is over",
	event.CueQuicken:   "below the band: quicker steps",
	event.CueEase:      "above the band: slower steps",
	event.CueSettled:   "back in the band",
	event.CueHold:      "right: keep it so",
	event.CueFade:      "the rhythm has been falling",
	event.CueUneven:    "left and right have come apart",
	event.CueLost:      "your steps cannot be heard",
	event.CueBack:      "your steps are heard again",
	event.CueCountdown: "three seconds to the rep",
	event.CueRepStart:  "the rep begins",
	event.CueHalfWay:   "half of the rep is done",
	event.CueLastPart:  "the last 50 m or 10 s",
	event.CueRepEnd:    "the rep is over",
	event.CueRecovered: "the recovery is over",
	event.CueReminder:  "what you wanted to think of",
	event.CueCadence:   "your cadence, steps/min",
	event.CueFault:     "something is wrong with the machine",
	event.CuePaused:    "the session stands still",
	event.CueResumed:   "it goes on",
	event.CueLap:       "a lap was marked",
	event.CueMuted:     "the microphone is muted: unmute it",
	event.CueQuiet:     "the sound is too faint: microphone closer, or its level up",
	event.CueClipped:   "the sound is cut off: microphone level down",
	event.CueWind:      "wind in the microphone: cover it, or out of the wind",
	event.CueBattery:   "the battery is low",
}

func printCues(w io.Writer) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "CUE\tMEANS\tAS SPEECH\tAS TONES")
	for _, name := range cue.Names() {
		tones, said := cue.Describe(name)
		fmt.Fprintf(tw, "%s\t%s\t%s\t%s\n", name, meanings[name], said, tones)
	}
	return tw.Flush()
}

// printRecordings tells what each recording is for.
func printRecordings(w io.Writer, v *cue.Voice) error {
	var cues, lines []string
	for _, name := range v.Recorded() {
		if meanings[name] != "" {
			cues = append(cues, name)
		} else {
			lines = append(lines, name)
		}
	}
	list := func(names []string) string {
		if names == nil {
			return "none"
		}
		return oneLine(strings.Join(names, ", "))
	}
	_, err := fmt.Fprintf(w, "\nRecorded cues:   %s\nOther lines:     %s\n", list(cues), list(lines))
	return err
}

// writeCues writes the cues as WAV files; several layers get a folder each.
func writeCues(w io.Writer, o cueOptions, layers []cue.Layer, voices []*cue.Voice, names []string) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	for i, v := range voices {
		dir := o.out
		if len(voices) > 1 {
			dir = filepath.Join(dir, layers[i].String())
		}
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
		for _, name := range names {
			c, ok := v.Clip(name, float64(o.say), "")
			if !ok {
				return fmt.Errorf("no sound for %q", name)
			}
			if name == event.CueCadence {
				name = fmt.Sprintf("%s %d", name, o.say)
			}
			path := filepath.Join(dir, name+".wav")
			if err := writeClip(path, c); err != nil {
				return err
			}
			fmt.Fprintf(tw, "%.2f s\t  %s\n", c.Seconds(), path)
		}
	}
	return tw.Flush()
}

func writeClip(path string, c *cue.Clip) error {
	frames := c.Frames()
	samples := make([]float32, 0, 2*len(frames))
	for _, f := range frames {
		samples = append(samples, f[0], f[1])
	}
	return audio.WriteWAV(path, audio.Rate, 2, audio.S16, samples)
}
