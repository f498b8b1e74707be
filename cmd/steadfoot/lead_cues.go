package main

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io/fs"

	"steadfoot/audio"
	"steadfoot/audio/cue"
	"steadfoot/coach/event"
)

// cueFiles makes the sounds of all cues, and of the digits, as the files that the
// walkers' page fetches: mono, to be small.
func cueFiles() (fs.FS, error) {
	voice, _, err := cue.NewVoice(cue.Speech, "")
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	w := zip.NewWriter(&packed)
	add := func(file, name string, value float64) error {
		c, ok := voice.Clip(name, value, "")
		if !ok {
			return fmt.Errorf("no sound for %q", name)
		}
		frames := c.Frames()
		mono := make([]float32, len(frames))
		for i, f := range frames {
			mono[i] = (f[0] + f[1]) / 2
		}
		out, err := w.CreateHeader(&zip.FileHeader{Name: file + ".wav", Method: zip.Store})
		if err != nil {
			return err
		}
		return audio.EncodeWAV(out, audio.Rate, 1, audio.S16, mono)
	}
	for _, name := range cue.Names() {
		if name == event.CueCadence {
			continue
		}
		if err := add(name, name, 3); err != nil {
			return nil, err
		}
	}
	for digit := range 10 {
		if err := add(fmt.Sprint(digit), event.CueCadence, float64(digit)); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return zip.NewReader(bytes.NewReader(packed.Bytes()), int64(packed.Len()))
}
