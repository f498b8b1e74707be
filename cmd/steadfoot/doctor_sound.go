package main

import (
	"context"
	"math"
	"os/exec"
	"strings"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device"
)

const (
	soundTrial  = 2 * audio.Rate  // samples that are heard
	soundPrompt = 2 * time.Second // within which the first of them is to come
	soundGiveUp = 2 * time.Second // for a device that is lost meanwhile
	soundLimit  = 25 * time.Second
	driftRough  = 250 // ppm: the devices' own times were seen to be uneven by 0.5 ms
)

// trial is what came of trying the sound devices.
type trial struct {
	noInput, noOutput bool
	err               error // of opening, or of hearing
	first             time.Duration
	x                 []float32
	stats             device.Stats
}

// checkSound lists the devices, and hears for two seconds.
func checkSound(ctx context.Context, c *checkup) []finding {
	ctx, cancel := context.WithTimeout(ctx, soundLimit)
	defer cancel()
	devs, err := device.List(ctx)
	found := judgeDevices(devs, err)
	var t trial
	t.noInput, t.noOutput = true, true
	for _, d := range devs {
		t.noInput = t.noInput && !d.DefaultInput
		t.noOutput = t.noOutput && !d.DefaultOutput
	}
	if t.noInput && t.noOutput {
		return found
	}
	t.err = t.run(ctx)
	if t.err == nil && !t.noOutput {
		c.output.Store(strings.TrimSpace(t.stats.Output + " " + serverOutput(ctx)))
	}
	return append(found, judgeTrial(t)...)
}

// serverOutput is what a sound server calls its output, where one can be asked:
// the device itself is then just called "default".
func serverOutput(ctx context.Context) string {
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	name, err := exec.CommandContext(ctx, "pactl", "get-default-sink").Output()
	if err != nil {
		return ""
	}
	return oneLine(string(name))
}

const (
	mendServer = "plug one in, see that the sound server runs (Linux: systemctl --user restart pipewire pipewire-pulse, or pulseaudio --start), then 'steadfoot devices'"
	mendChoose = "choose another device ('steadfoot devices' lists them: walk --in mic:NAME --out earphones:NAME), or end the program that holds this one"
)

// judgeDevices says whether there is something to hear with and to play to.
func judgeDevices(devs []device.Info, err error) []finding {
	if err != nil {
		return []finding{fault(mendServer, "the devices cannot be listed: %v", err)}
	}
	var ins, outs int
	var in, out string // the default ones
	for _, d := range devs {
		ins, outs = ins+min(1, d.Inputs), outs+min(1, d.Outputs)
		if d.DefaultInput {
			in = d.Name
		}
		if d.DefaultOutput {
			out = d.Name
		}
	}
	var found []finding
	switch {
	case ins == 0:
		found = append(found, fault(mendServer, "there is no microphone"))
	case in == "":
		found = append(found, fault("choose one with walk --in mic:NAME; 'steadfoot devices' lists them", "%s, but none is the default", counted(ins, "microphone")))
	}
	switch {
	case outs == 0:
		found = append(found, fault(mendServer+"; or walk with --out none", "there are no earphones"))
	case out == "":
		found = append(found, fault("choose one with walk --out earphones:NAME; 'steadfoot devices' lists them", "%s, but none is the default", counted(outs, "output")))
	}
	if in != "" && out != "" {
		found = append(found, okay("%s; the default ones are %q and %q", counted(len(devs), "device"), in, out))
	}
	return found
}

// run opens what is there and hears.
func (t *trial) run(ctx context.Context) error {
	clock := monotonic()
	d, err := device.Start(ctx, device.Options{NoInput: t.noInput, NoOutput: t.noOutput, GiveUp: soundGiveUp, Clock: clock})
	if err != nil {
		return err
	}
	defer d.Close() // has a deadline of its own
	var b audio.Block
	for len(t.x) < soundTrial {
		if err = d.Read(&b); err != nil {
			break
		}
		if len(t.x) == 0 {
			t.first = clock()
		}
		t.x = append(t.x, b.Samples...)
	}
	t.stats = d.Stats()
	return err
}

// judgeTrial says what came of it.
func judgeTrial(t trial) []finding {
	if t.err != nil {
		return []finding{fault(mendChoose, "%v", t.err)}
	}
	var found []finding
	if t.first > soundPrompt {
		found = append(found, warn("close other programs that use the sound, or restart the sound server", "the first sound comes only after %.1f s", t.first.Seconds()))
	} else {
		found = append(found, okay("opens, and the first sound comes after %.1f s", t.first.Seconds()))
	}
	s := t.stats
	if n := s.Overruns + s.Underruns + int64(s.Restarts); n > 0 || s.Lost > 0 {
		found = append(found, warn("close what keeps the machine busy; use a cable rather than a wireless device",
			"in %.0f s input was dropped %d times (%.0f ms lost), output ran dry %d times, and the device was restarted %d times",
			float64(soundTrial)/audio.Rate, s.Overruns, 1000*float64(s.Lost)/audio.Rate, s.Underruns, s.Restarts))
	}
	if s.DriftSD > 0 {
		s.DriftSD = math.Hypot(s.DriftSD, driftRough)
	}
	if words := drift(s); words != "" {
		found = append(found, okay("%s for both; %s, by these two seconds: a walk tells it better", counted(s.Streams, "stream"), words))
	}
	latency := okay("by the driver, which may not know of wireless earbuds: in %.0f ms, out %.0f ms, round trip %.0f ms (0 is unknown)",
		1000*s.InputLatency, 1000*s.OutputLatency, 1000*s.RoundTrip)
	latency.Check = "latency"
	found = append(found, latency)
	if !t.noInput {
		found = append(found, judgeMic(t.x))
	}
	return found
}

// What a microphone's sound is judged by: common practice, no source.
const (
	clippedAt   = 0.99  // of full scale
	clippedMost = 0.001 // share of samples that may be at it
	softBelow   = -75.0 // dB re full scale, RMS: next to nothing but the converter's noise
)

// judgeMic says whether a microphone can be heard by. What is constant in x is not
// sound.
func judgeMic(x []float32) finding {
	f := micFinding(x)
	f.Check = "microphone"
	return f
}

func micFinding(x []float32) finding {
	var sum, sumSq, peak float64
	clipped := 0
	for _, v := range x {
		a := math.Abs(float64(v))
		sum, sumSq, peak = sum+float64(v), sumSq+a*a, max(peak, a)
		if a >= clippedAt {
			clipped++
		}
	}
	n := float64(max(1, len(x)))
	level := 10 * math.Log10(max(0, sumSq/n-sum*sum/n/n))
	switch {
	case math.IsNaN(level):
		return fault("choose another microphone: walk --in mic:NAME", "it gives what are no numbers")
	case level < -120: // less than a 16-bit sample now and then
		return fault("unmute it (Linux: pactl set-source-mute @DEFAULT_SOURCE@ 0), let this program use it (the system's privacy settings), and clap while you run this again: some headsets are silent until there is a sound",
			"it gives digital silence")
	case float64(clipped) > clippedMost*n:
		return warn("turn its gain down (Linux: pactl set-source-volume @DEFAULT_SOURCE@ 50%)", "it is clipped: %.1f %% of the samples are at full scale", 100*float64(clipped)/n)
	case level < softBelow:
		return warn("turn its gain up (Linux: pactl set-source-volume @DEFAULT_SOURCE@ 100%)", "it is very soft: %.0f dB re full scale", level)
	}
	return okay("level %.0f dB re full scale, peak %.0f dB", level, 20*math.Log10(peak))
}
