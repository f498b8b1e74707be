package main

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
	"steadfoot/detect/made"
	"steadfoot/testdata/footsteps"
)

// Bars of the start, s. The machine may be busy: a run is failed by startSlow times
// as much, in the best of startTries.
const (
	startClick = 1.0 // from the command to the first click
	startStep  = 3.0 // from the first footfall to the moment a step is shown
	startSlow  = 3
	startTries = 3
	startMost  = 6    // tries, where the machine spoils too many
	startClear = 0.95 // F of the steps from which their place is told; a gap in the sound shifts them
)

// TestStart measures, through the real sound path, how long a walker waits: for the
// first click from the command on, and for the first step to be shown from the
// first footfall on. What the figures are is told; what is asserted is wide.
func TestStart(t *testing.T) {
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	const quiet = 4 // s until the walker sets off, in the recording
	walk := made.Spec{
		Seed: 11, Duration: quiet + 10,
		Gait:    made.Gait{Cadence: made.Steady(pathCadence), JitterCV: 1.5, Start: quiet},
		Surface: footsteps.Surface("gravel"),
		Noises:  []made.Noise{{Kind: made.Pink, SNR: 15}},
	}.Walk()
	wav := filepath.Join(t.TempDir(), "walk.wav")
	if err := audio.WriteWAV(wav, int(walk.Rate), 1, audio.S16, walk.Samples); err != nil {
		t.Fatal(err)
	}
	click, step := math.Inf(1), math.Inf(1)
	for try := range startMost {
		if try >= startTries && click <= startSlow*startClick && step <= startSlow*startStep {
			break
		}
		c, s := startOnce(t, srv, bin, wav, walk.Times())
		t.Logf("try %d: first click %.2f s after the command (bar %.0f s), first step shown %.2f s after the first footfall (bar %.0f s)", try, c, startClick, s, startStep)
		click, step = min(click, c), min(step, s)
	}
	t.Logf("best: click %.2f s, step %.2f s", click, step)
	if click > startSlow*startClick || step > startSlow*startStep {
		t.Errorf("the first click came %.2f s after the command, and the first step was shown %.2f s after it was made", click, step)
	}
}

// startOnce is one run: how long the first click and the first step took, s; what
// did not come in a run that the machine spoiled is infinite.
func startOnce(t *testing.T, srv *virtual.PulseServer, bin, wav string, truth []float64) (click, step float64) {
	t.Helper()
	dir := t.TempDir()
	heard := recordClicks(t, srv, 20*time.Millisecond)
	args := virtual.Prefer(bin, "walk", "--cadence", "192", "--cues", "tones", "--plain", "--duration", "12s", "--store", filepath.Join(dir, "log.db"))
	cmd := srv.Command(args[0], args[1:]...)
	cmd.Env = append(cmd.Env, "STEADFOOT_METER="+dir)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	begun := time.Now()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	play := srv.PlayIntoMic(wav)
	if err := cmd.Wait(); err != nil {
		t.Fatalf("walk: %v\n%s", err, said.String())
	}
	play.Wait()
	click = math.Inf(1)
	if at, ok := heard.first(); ok {
		click = at.Sub(begun).Seconds()
	}
	return click, stepDelay(t, dir, truth)
}

// stepDelay is how long after the first footfall of the recording a step was shown,
// s: where the footfall is on the session's clock is told by the steps that were
// found, and what that is on the machine's by the last reading.
func stepDelay(t *testing.T, dir string, truth []float64) float64 {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, "walk.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	all := appendLines[reading](nil, bytes.Split(data, []byte("\n")))
	found := stepTimes(stored(t, filepath.Join(dir, "log.db")))
	if len(all) == 0 || len(found) < 8 {
		return math.Inf(1)
	}
	last := all[len(all)-1]
	best, shift := matchSteps(found, truth, -3, 3, 0.025)
	if best.F() < startClear || last.Step == 0 {
		return math.Inf(1)
	}
	return last.Step - (truth[0] + shift + last.Clock - last.Session)
}
