package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"steadfoot/audio"
	"steadfoot/detect/made"
	"steadfoot/profiles"
	"steadfoot/profiles/examples"
	"steadfoot/testdata/footsteps"
)

const demoHelp = `
Makes a walk of three minutes out of single recorded footsteps, wind, breath and
a passing car, and coaches it as if it were live, only faster: Mira Tal of the
invented Harrow Vale Walkers sets off below her target, is brought up to it,
drifts on the far bend and comes back.

In DIR it leaves the walk (walk.wav), the walk with the beat and the signals she
would have heard (coached.wav), her profile (mira-tal.toml) and the log (log.db).

Examples:
  steadfoot demo
  steadfoot demo --dir somewhere`

func runDemo(ctx context.Context, std stdio, args []string) error {
	fs := newFlags(std, "demo", "demo [flags]", demoHelp)
	dir := fs.String("dir", "out", "folder for what it makes")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	if err := os.MkdirAll(*dir, 0o755); err != nil {
		return err
	}
	in := func(name string) string { return filepath.Join(*dir, name) }

	const profile = "mira-tal.toml"
	data, err := examples.Files.ReadFile(profile)
	if err != nil {
		return err
	}
	if err := os.WriteFile(in(profile), data, 0o644); err != nil {
		return err
	}
	mira, err := profiles.Parse(in(profile), data)
	if err != nil {
		return err
	}
	fmt.Fprintln(std.err, "Making the walk ...")
	w := made.Demo(footsteps.Surface("gravel")).Walk()
	if err := audio.WriteWAV(in("walk.wav"), int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		return err
	}
	mira.Volume = demoVolume
	o := walkOptions{command: "demo", in: in("walk.wav"), out: in("coached.wav"), fast: true, mix: true, store: in("log.db"), label: "demo"}
	if err := walk(ctx, std, o, mira); err != nil {
		return err
	}
	fmt.Fprintf(std.out, `
Listen to      %s
The walk was   %s, %d steps made
Profile        %s
Next           steadfoot steps %s | less
               steadfoot walk --cadence 192     with a microphone and earbuds
`, in("coached.wav"), in("walk.wav"), len(w.Steps), in(profile), in("walk.wav"))
	return nil
}

// demoVolume lets the beat stand out on loudspeakers; a walk's own is lower.
const demoVolume = 0.8
