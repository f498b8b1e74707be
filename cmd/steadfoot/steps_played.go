package main

import (
	"fmt"

	"steadfoot/audio"
	"steadfoot/cmd/steadfoot/live"
)

// playedTrack is the recording of what was played during a walk; nil is none.
type playedTrack struct {
	file *audio.File
	ear  *live.SoundEar
}

// openPlayed opens the track of that name, "" for none, and tells it to ear,
// which hears in.
func openPlayed(name string, in *input, ear live.Ear) (*playedTrack, error) {
	if name == "" {
		return nil, nil
	}
	e, ok := ear.(*live.SoundEar)
	if !ok {
		return nil, usagef("--played %s: only a sound can hold what was played, and the input is none", name)
	}
	f, err := audio.Open(name)
	if err != nil {
		return nil, fmt.Errorf("--played: %w", err)
	}
	e.PlayedFrom(audio.Resample(f, in.sound.Rate()))
	return &playedTrack{f, e}, nil
}

// end tells what was found of the track in the recording, and closes it.
func (p *playedTrack) end(std stdio) {
	if p == nil {
		return
	}
	for _, w := range p.file.Warnings() {
		fmt.Fprintln(std.err, "steadfoot steps: warning: --played:", w)
	}
	if l, ok := p.ear.Leak(); ok {
		fmt.Fprintf(std.err, "steadfoot steps: %s was heard %.0f ms later, at %+.1f dB of its own level, and taken out\n", p.file.Name(), 1000*l.Delay, l.Gain)
	} else {
		fmt.Fprintf(std.err, "steadfoot steps: %s was not heard in the recording\n", p.file.Name())
	}
	p.file.Close()
}
