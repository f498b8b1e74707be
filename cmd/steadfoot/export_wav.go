package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"

	"steadfoot/audio"
	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
)

// writeCuedWAV writes the sound of a walk as WAV with a cue point at every step and
// every beat, for an editor that shows them. The sound is the one that was kept, or
// a recording that began with the walk. It tells how many points lie behind the end
// of the sound and so are not in the file.
func writeCuedWAV(path string, s *logbook.Store, x exported, recording string) (behind int, err error) {
	if recording == "" {
		if x.info.Sound == 0 {
			return 0, fmt.Errorf("no sound of walk %d is kept ('steadfoot walk --keep-sound' keeps one); name a recording of it with --sound", x.info.ID)
		}
		recording = s.SoundPath(x.info.UID)
	}
	if same(recording, path) {
		return 0, usagef("%s would overwrite the sound it is made from", path)
	}
	sound, err := audio.Open(recording)
	if err != nil {
		return 0, err
	}
	defer sound.Close()
	f, err := os.Create(path)
	if err != nil {
		return 0, err
	}
	out, err := audio.NewWAVRecorder(f, sound.Rate())
	if err != nil {
		f.Close()
		return 0, errors.Join(err, os.Remove(path))
	}
	if err = copySound(out, sound); err == nil {
		var points []audio.WAVCue
		points, behind = cuePoints(x, sound.Rate(), out.Len())
		err = out.Cues(points)
	}
	if err = errors.Join(err, out.Close()); err != nil {
		return 0, errors.Join(err, os.Remove(path))
	}
	return behind, nil
}

func copySound(to *audio.WAVRecorder, from audio.Source) error {
	var b audio.Block
	for {
		if err := from.Read(&b); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		if err := to.Write(b.Samples); err != nil {
			return err
		}
	}
}

// cuePoints are the steps and beats of a walk in a sound of n samples, in order.
func cuePoints(x exported, rate int, n int64) (points []audio.WAVCue, behind int) {
	add := func(t float64, label string) {
		at := int64(math.Round(t * float64(rate)))
		if at < 0 || at >= n {
			behind++
			return
		}
		points = append(points, audio.WAVCue{Sample: at, Label: label})
	}
	for _, e := range x.events {
		if s, ok := e.(event.Step); ok {
			how := "heard"
			if !s.Heard {
				how = "bridged"
			}
			add(s.T, fmt.Sprintf("step %s %s", s.Side, how))
		}
	}
	beatMap(x).Between(0, x.info.Duration, func(b coach.Beat) { add(b.T, fmt.Sprintf("beat %s", b.Side)) })
	slices.SortStableFunc(points, func(a, b audio.WAVCue) int { return cmp.Compare(a.Sample, b.Sample) })
	return points, behind
}

// beatMap is the beat of a stored walk.
func beatMap(x exported) *coach.BeatMap {
	m := &coach.BeatMap{}
	var set coach.Settings
	if json.Unmarshal(x.header.Settings, &set) == nil {
		m.Only, m.Every, m.Accent = set.Beat.Foot, set.Beat.Every, set.Beat.Accent
	}
	for _, e := range x.events {
		m.Take(e)
	}
	return m
}
