package main

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/audio/device"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/detect"
)

// gear is what a walk is heard from and played to.
type gear struct {
	inName, outName string
	in              *input
	felt            *feeler // beside a sound; may be nil
	duplex          *device.Duplex
	clock           func() time.Duration // the machine's
	paced           *pacedClock          // of a file gone through at real time
	closers         []io.Closer
}

// check finds combinations that make no sense.
func (o *walkOptions) check(inGiven bool) error {
	mic, ear, file := o.usesMic(), o.usesEar(), strings.HasSuffix(strings.ToLower(o.out), ".wav")
	switch {
	case !ear && !file && o.out != "none":
		return usagef("--out %q: want earphones, a FILE.wav, or none", o.out)
	case o.fast && (mic || o.in == "-" || isLive(o.in)):
		return usagef("--fast goes with a file, not with a live input")
	case o.fast && ear:
		return usagef("--fast is quicker than earphones can play; use --out FILE.wav or none")
	case o.mix && (mic || o.in == "-" || isLive(o.in) || !file):
		return usagef("--mix goes with a sound file as --in and a FILE.wav as --out")
	case o.sensor != "" && isLive(o.in):
		return usagef("--sensor goes with a sound as --in, a microphone or a sound file")
	case o.sensor == "-" && o.in == "-":
		return usagef("--sensor - and --in - would both read standard input; give one a name")
	case o.sensor != "" && o.fast && (o.sensor == "-" || isLive(o.sensor)):
		return usagef("--fast goes with a file as --sensor, not with a live one")
	case o.fast && slices.ContainsFunc(o.hands, func(h string) bool { return h != byClap }):
		return usagef("--hands goes with a walk in real time, not with --fast, but for --hands clap")
	case o.streams < 0 || o.streams > 2:
		return usagef("--streams %d: want 1 or 2, or 0 for as many as there are devices", o.streams)
	case o.duration < 0:
		return usagef("--duration %v: want a time like 20m", o.duration)
	}
	return nil
}

func (o *walkOptions) readsStdin() bool { return o.in == "-" || o.sensor == "-" }

func (o *walkOptions) usesMic() bool { return o.in == "mic" || strings.HasPrefix(o.in, "mic:") }
func (o *walkOptions) usesEar() bool {
	return o.out == "earphones" || strings.HasPrefix(o.out, "earphones:")
}

// openGear opens input and output and connects them to w.
func openGear(ctx context.Context, std stdio, o walkOptions, first detect.Side, w *live.Walk) (*gear, error) {
	g := &gear{inName: o.in, outName: o.out, clock: monotonic()}
	if o.party != nil {
		g.clock = o.party.clock
	}
	if err := g.open(ctx, std, o, first, w); err != nil {
		g.close()
		return nil, err
	}
	return g, nil
}

func (g *gear) open(ctx context.Context, std stdio, o walkOptions, first detect.Side, w *live.Walk) error {
	var err error
	fromFile := !o.usesMic() && o.in != "-" && !isLive(o.in)
	switch { // what is wrong with it is told before the device is bothered
	case fromFile:
		err = g.openEar(ctx, std, o, first, w)
	case isLive(o.in):
		err = g.openLive(ctx, o)
	case o.usesMic():
		err = g.openFelt(ctx, std, o, liveSound)
	}
	if err == nil {
		err = g.openDevice(ctx, o)
	}
	if err == nil && !fromFile {
		err = g.openEar(ctx, std, o, first, w)
	}
	if err == nil {
		err = g.openSink(o, w)
	}
	if err != nil {
		return err
	}
	if g.felt != nil {
		g.inName += ", and a sensor: " + o.sensor
	}
	if e, ok := w.Ear.(*live.SoundEar); ok && o.usesEar() && !fromFile {
		w.Played = e.Played // it may leak into the microphone
	}
	switch {
	case fromFile && o.usesEar():
		w.Pace = deviceTime(g.duplex)
	case fromFile && !o.fast:
		g.paced = &pacedClock{clock: g.clock}
		w.Pace = g.paced.pace
	case !o.usesMic() && o.usesEar() && g.in.live == nil:
		go drain(g.duplex) // a pipe has a pace of its own
	}
	return nil
}

// keepTrying is how long a device that was lost is tried again. A walker can do
// nothing about it, and the log and the beat go on meanwhile.
const keepTrying = 24 * time.Hour

// openDevice opens microphone and earphones, where they are asked for.
func (g *gear) openDevice(ctx context.Context, o walkOptions) error {
	if !o.usesMic() && !o.usesEar() {
		return nil
	}
	d, err := device.Start(ctx, device.Options{
		Input:    strings.TrimPrefix(strings.TrimPrefix(o.in, "mic"), ":"),
		Output:   strings.TrimPrefix(strings.TrimPrefix(o.out, "earphones"), ":"),
		NoInput:  !o.usesMic(),
		NoOutput: !o.usesEar(),
		Streams:  o.streams,
		GiveUp:   keepTrying,
		Clock:    g.clock,
	})
	if err != nil {
		return err
	}
	g.duplex = d
	g.closers = append(g.closers, d)
	st := d.Stats()
	if o.usesMic() {
		g.inName = "mic: " + st.Input
	}
	if o.usesEar() {
		g.outName = "earphones: " + st.Output
	}
	return nil
}

func (g *gear) openEar(ctx context.Context, std stdio, o walkOptions, first detect.Side, w *live.Walk) (err error) {
	if o.usesMic() {
		w.Ear, err = live.NewJointEar(g.duplex, g.felt.rows(), first)
		return err
	}
	if g.in != nil {
		var tick live.Tick
		if o.usesEar() { // its clock is the session's, as the beat's
			tick = live.TickOf(g.duplex)
		}
		w.Ear, err = g.in.live.listen(tick, first)
		return err
	}
	if g.in, err = openInput(ctx, std, o.in, o.input); err != nil {
		return err
	}
	g.closers = append(g.closers, g.in)
	if o.mix && g.in.sound == nil {
		return usagef("--mix: %s holds sensor rows, there is no sound to mix", o.in)
	}
	if o.mix {
		again, err := audio.Open(o.in)
		if err != nil {
			return err
		}
		w.Under = audio.Resample(again, audio.Rate)
		g.closers = append(g.closers, w.Under)
	}
	if o.sensor != "" && g.in.sound == nil {
		return usagef("--sensor: %s holds sensor rows, there is no sound to join others with", o.in)
	}
	of := pacedFile
	switch {
	case o.in == "-":
		of = liveSound
	case o.fast:
		of = fastFile
	}
	if err := g.openFelt(ctx, std, o, of); err != nil {
		return err
	}
	g.in.felt = g.felt
	w.Ear, err = g.in.ear(first)
	return err
}

// openFelt opens the sensor beside a sound.
func (g *gear) openFelt(ctx context.Context, std stdio, o walkOptions, of besideOf) (err error) {
	if o.sensor == "" {
		return nil
	}
	if g.felt, err = openFeeler(ctx, std, o.sensor, o.input, of); err == nil {
		g.closers = append(g.closers, g.felt)
	}
	return err
}

// openLive connects to a live sensor.
func (g *gear) openLive(ctx context.Context, o walkOptions) (err error) {
	if g.in, err = openLive(ctx, o.in, o.input); err == nil {
		g.closers = append(g.closers, g.in)
	}
	return err
}

func (g *gear) openSink(o walkOptions, w *live.Walk) error {
	switch {
	case o.usesEar():
		w.Sink = g.duplex
	case o.out != "none":
		if same(o.in, o.out) {
			return usagef("--out %s would overwrite the input", o.out)
		}
		s, err := audio.CreateWAV(o.out)
		if err != nil {
			return err
		}
		w.Sink = s
		g.closers = append(g.closers, s)
	}
	return nil
}

func same(a, b string) bool {
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// drain reads the silence of a device that only plays, so that its pipe stays
// empty; a device that is gone also fails the next Write.
func drain(d *device.Duplex) {
	var b audio.Block
	for d.Read(&b) == nil {
	}
}

// deviceTime holds the walk back to the clock of a device that only plays: it
// gives silence at its own pace. One that is gone for good ends the walk.
func deviceTime(d *device.Duplex) func(context.Context, float64) error {
	var b audio.Block
	return func(_ context.Context, now float64) error {
		for float64(b.Index+int64(len(b.Samples))) < now*audio.Rate {
			if err := d.Read(&b); err != nil {
				return err
			}
		}
		return nil
	}
}

// close ends all of it; the second call does nothing.
func (g *gear) close() error {
	var all error
	for _, c := range g.closers {
		if err := c.Close(); err != nil && !errors.Is(err, os.ErrClosed) {
			all = errors.Join(all, err)
		}
	}
	g.closers = nil
	return all
}

// report tells what was wrong with the sound, if anything was.
func (g *gear) report(std stdio, o walkOptions, p *cue.Player) {
	if g.in != nil {
		for _, w := range g.in.warnings() {
			o.warn(std, "warning: %s", w)
		}
	}
	if g.in == nil && g.felt != nil {
		for _, w := range g.felt.Warnings() {
			o.warn(std, "warning: %s", w)
		}
	}
	if n := p.Dropped(); n > 0 {
		o.warn(std, "warning: %d sounds came too late to be played", n)
	}
	if g.duplex == nil {
		return
	}
	s := g.duplex.Stats()
	if s.Overruns+s.Underruns+s.Lost+s.Late+s.Missing > 0 || s.Restarts > 0 {
		o.warn(std, "sound: input dropped %d times (%.2f s lost), output ran dry %d times (%.2f s late, %.2f s missing), device restarted %d times",
			s.Overruns, float64(s.Lost)/audio.Rate, s.Underruns, float64(s.Late)/audio.Rate, float64(s.Missing)/audio.Rate, s.Restarts)
	}
	if words := driftReport(s); words != "" {
		o.warn(std, "%s", words)
	}
}
