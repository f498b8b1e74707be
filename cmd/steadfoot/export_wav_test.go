package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"steadfoot/audio"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// walkWithSound walks a made walk of 20 s with its sound kept.
func walkWithSound(t *testing.T) (recording string, s *logbook.Store, x exported) {
	t.Helper()
	dir := t.TempDir()
	recording = filepath.Join(dir, "walk.wav")
	w := made.Spec{Seed: 7, Duration: 20, Gait: made.Gait{Cadence: made.Steady(190), JitterCV: 1.5, Start: 1}, Surface: footsteps.Surface("gravel")}.Walk()
	if err := audio.WriteWAV(recording, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	store := filepath.Join(dir, "log.db")
	var out, errs bytes.Buffer
	if code := run(context.Background(), stdio{strings.NewReader(""), &out, &errs}, []string{"walk", "--cadence", "190",
		"--in", recording, "--fast", "--out", "none", "--keep-sound", "--store", store}); code != exitDone {
		t.Fatalf("status %d: %s", code, errs.String())
	}
	s, err := logbook.OpenReadOnly(store)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if x, err = readWalk(s, "last"); err != nil {
		t.Fatal(err)
	}
	return recording, s, x
}

func samplesOf(t *testing.T, path string) []float32 {
	t.Helper()
	f, err := audio.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var all []float32
	var b audio.Block
	for {
		if err := f.Read(&b); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, b.Samples...)
	}
}

// TestKeptSound: what is kept is what was heard, sample by sample, and the file
// with points has the same samples and a point within one sample of every step and
// beat, as ffprobe sees them.
func TestKeptSound(t *testing.T) {
	recording, s, x := walkWithSound(t)
	want := samplesOf(t, recording)
	for _, from := range []string{"", recording} {
		path := filepath.Join(t.TempDir(), "cued.wav")
		behind, err := writeCuedWAV(path, s, x, from)
		if err != nil || behind != 0 {
			t.Fatal(behind, err)
		}
		for _, p := range []string{s.SoundPath(x.info.UID), path} {
			got := samplesOf(t, p)
			if len(got) != len(want) {
				t.Fatalf("%s: %d samples, want %d", p, len(got), len(want))
			}
			for i := range want {
				if got[i] != want[i] {
					t.Fatalf("%s: sample %d is %g, want %g", p, i, got[i], want[i])
				}
			}
		}
		checkPoints(t, path, x)
	}
}

// checkPoints compares the points that ffprobe sees with the walk's steps.
func checkPoints(t *testing.T, path string, x exported) {
	t.Helper()
	if _, err := exec.LookPath("ffprobe"); err != nil {
		t.Skip("ffprobe is not installed, so there is nothing to compare with")
	}
	out, err := exec.Command("ffprobe", "-v", "error", "-of", "json", "-show_chapters", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	var seen struct {
		Chapters []struct {
			Start    int64
			TimeBase string `json:"time_base"`
			Tags     struct{ Title string }
		}
	}
	if err := json.Unmarshal(out, &seen); err != nil {
		t.Fatal(err)
	}
	var steps, beats []float64
	last := int64(0)
	for _, c := range seen.Chapters {
		rate, err := strconv.ParseFloat(strings.TrimPrefix(c.TimeBase, "1/"), 64)
		if err != nil || c.Start < last {
			t.Fatalf("%+v after %d, %v", c, last, err)
		}
		last = c.Start
		if at := float64(c.Start) / rate; strings.HasPrefix(c.Tags.Title, "beat ") {
			beats = append(beats, at)
		} else {
			steps = append(steps, at)
		}
	}
	n := 0
	for _, e := range x.events {
		if e, ok := e.(event.Step); ok {
			if n < len(steps) && math.Abs(steps[n]-e.T) > 1./48000 {
				t.Errorf("step %d is at %.6f s, its point at %.6f s", n, e.T, steps[n])
			}
			n++
		}
	}
	if n == 0 || n != len(steps) || len(beats) < 20 {
		t.Errorf("%d points for %d steps, and %d for beats", len(steps), n, len(beats))
	}
}

// TestCuedWAVRefuses what would lose something.
func TestCuedWAVRefuses(t *testing.T) {
	recording, s, x := walkWithSound(t)
	kept := s.SoundPath(x.info.UID)
	if _, err := writeCuedWAV(kept, s, x, ""); err == nil || !strings.Contains(err.Error(), "would overwrite the sound") {
		t.Errorf("over itself: %v", err)
	}
	if len(samplesOf(t, kept)) != len(samplesOf(t, recording)) {
		t.Error("the kept sound is damaged")
	}
	out := filepath.Join(t.TempDir(), "out.wav")
	if _, err := writeCuedWAV(out, s, x, filepath.Join(t.TempDir(), "none.wav")); err == nil {
		t.Error("a recording that is not there is taken")
	}
	x.info.Sound = 0
	if _, err := writeCuedWAV(out, s, x, ""); err == nil || !strings.Contains(err.Error(), "no sound of walk 1 is kept") {
		t.Errorf("without a sound: %v", err)
	}
	if _, err := os.Stat(out); err == nil {
		t.Error("a file is left behind")
	}
	half := filepath.Join(t.TempDir(), "half.wav")
	if err := audio.WriteWAV(half, 48000, 1, audio.S16, samplesOf(t, recording)[:10*48000]); err != nil {
		t.Fatal(err)
	}
	if behind, err := writeCuedWAV(out, s, x, half); err != nil || behind < 20 {
		t.Errorf("a sound that is cut off: %d points behind it, %v", behind, err)
	}
}
