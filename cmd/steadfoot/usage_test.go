package main

import (
	"bytes"
	"context"
	"strings"
	"testing"
)

// TestExitStatus tells wrong use (2) from bad input (1). None of these gets as
// far as a sound device or a log.
func TestExitStatus(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	for _, c := range []struct {
		args   string
		status int
		want   string // part of the one line
	}{
		{"steps", exitUsage, "an argument is missing"},
		{"steps a.wav b.wav", exitUsage, `unexpected argument "b.wav"`},
		{"steps --rate -1 a.raw", exitUsage, "sample rate -1 Hz is out of range"},
		{"steps --rate 8000 --channels 0 a.raw", exitUsage, "0 channels"},
		{"steps --rate 8000 --format s12 a.raw", exitUsage, "s12"},
		{"steps --channels 2 a.raw", exitUsage, "raw PCM needs its sample rate"},
		{"steps missing.wav", exitFailed, "missing.wav: no such file"},
		{"walk", exitUsage, "there is no target"},
		{"walk --cadence 300", exitUsage, "--cadence 300: want 90 to 240 steps/min"},
		{"walk --cadence NaN", exitUsage, "--cadence NaN"},
		{"walk --cadence 180 --out sound.mp3", exitUsage, `--out "sound.mp3"`},
		{"walk --cadence 180 --in missing.wav", exitFailed, "missing.wav: no such file"},
		{"devices all", exitUsage, `unexpected argument "all"`},
		{"jog", exitUsage, "unknown command"},
	} {
		var out, errs bytes.Buffer
		status := run(context.Background(), stdio{strings.NewReader(""), &out, &errs}, strings.Fields(c.args))
		if status != c.status || out.Len() > 0 || strings.Count(errs.String(), "\n") != 1 || !strings.Contains(errs.String(), c.want) {
			t.Errorf("%s: status %d, want %d; %q %q", c.args, status, c.status, out.String(), errs.String())
		}
	}
}
