package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"steadfoot/audio"
	"steadfoot/audio/device/virtual"
	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/testdata/footsteps"
)

// The tests of this file run the program as it is, through PortAudio and a real
// sound server: a walk is played into a virtual microphone, and what comes out
// of the virtual earphones is recorded.

const (
	pathCadence = 190.0
	pathTarget  = 192.0
	pathTries   = 6  // a run in which the busy machine let the sound falter is repeated
	pathClicks  = 20 // clicks in a row, each a beat after the one before
)

func buildProgram(t *testing.T) string {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "steadfoot")
	if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	return bin
}

// pathWalk is what is played into the microphone.
func pathWalk(t *testing.T, seconds float64) (string, made.Walk) {
	t.Helper()
	w := made.Spec{
		Seed: 11, Duration: seconds,
		Gait:    made.Gait{Cadence: made.Steady(pathCadence), JitterCV: 1.5, Start: 1},
		Surface: footsteps.Surface("gravel"),
		Noises:  []made.Noise{{Kind: made.Pink, SNR: 15}},
	}.Walk()
	path := filepath.Join(t.TempDir(), "walk.wav")
	if err := audio.WriteWAV(path, int(w.Rate), 1, audio.S16, w.Samples); err != nil {
		t.Fatal(err)
	}
	return path, w
}

func TestWalkThroughSoundPath(t *testing.T) {
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	wav, walk := pathWalk(t, 16)
	for try := range pathTries {
		dir := t.TempDir()
		heard := srv.RecordEar(filepath.Join(dir, "ear.wav"))
		args := virtual.Prefer(bin, "walk", "--cadence", "192", "--duration", "15s", "--store", filepath.Join(dir, "log.db"))
		cmd := srv.Command(args[0], args[1:]...)
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		play := srv.PlayIntoMic(wav)
		err := cmd.Wait()
		heard.Stop()
		play.Wait()
		if err != nil {
			t.Fatalf("walk: %v\n%s", err, errs.String())
		}
		events := stored(t, filepath.Join(dir, "log.db"))
		faults := slices.ContainsFunc(events, func(e event.Event) bool { return e.Kind() == "fault" })
		gaps := clickGaps(t, filepath.Join(dir, "ear.wav"))
		t.Logf("try %d: faults %v, clicks %d, gaps %v samples", try, faults, len(gaps)+1, gaps)
		// PulseAudio slips in silence when it is late itself and tells nobody, so
		// the gaps tell of a falter too.
		if faults || evenClicks(gaps) < pathClicks {
			continue
		}
		checkStepsHeard(t, events, walk)
		return
	}
	t.Errorf("in none of %d runs was the sound without a fault and %d clicks in a row %d samples apart", pathTries, pathClicks, beatSamples)
}

// stored reads all events of the only session.
func stored(t *testing.T, path string) []event.Event {
	t.Helper()
	s, err := logbook.OpenReadOnly(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var all []event.Event
	for e, err := range s.Events(1) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, e)
	}
	return all
}

// checkStepsHeard compares the log with the walk. When the recording began on
// the program's clock is not known; the middle of the differences tells.
func checkStepsHeard(t *testing.T, events []event.Event, walk made.Walk) {
	t.Helper()
	found := stepTimes(events)
	truth := walk.Times()
	if len(found) < 20 {
		t.Fatalf("heard %d steps, want about %d", len(found), len(truth))
	}
	best, shift := matchSteps(found, truth, -3, 3, 0.025)
	t.Logf("steps found: F(±25 ms) %.3f, %d of %d; the walk began at %.2f s", best.F(), len(found), len(truth), shift)
	if best.F() < 0.98 {
		t.Errorf("steps found through the sound path: F(±25 ms) %.3f, want 0.98 (%d found of %d)", best.F(), len(found), len(truth))
	}
	n := len(found) - 1
	if c := 60 * float64(n) / (found[n] - found[0]); math.Abs(c-pathCadence) > 1.5 {
		t.Errorf("cadence %.1f steps/min, want %.0f", c, pathCadence)
	}
}

// stepTimes are the times of the steps, s.
func stepTimes(events []event.Event) (at []float64) {
	for _, e := range events {
		if s, ok := e.(event.Step); ok {
			at = append(at, s.T)
		}
	}
	return at
}

// matchSteps compares steps with the walk, as far as it lies within what the program
// heard. By how much the walk is shifted on the program's clock, from low to high, s,
// is tried and returned. A step is found that lies within window, s.
func matchSteps(found, truth []float64, low, high, window float64) (best score.Result, shifted float64) {
	most := -1.0
	for shift := low; shift < high; shift += 0.005 {
		moved := make([]float64, len(found))
		for i, f := range found {
			moved[i] = f - shift
		}
		inside := slices.DeleteFunc(slices.Clone(truth), func(x float64) bool { return x < -shift || x > moved[len(moved)-1]+0.1 })
		if r := score.Match(moved, inside, window); r.F() > most {
			best, shifted, most = r, shift, r.F()
		}
	}
	return best, shifted
}

// clickGaps finds the clicks in a recording and gives the samples from one to
// the next.
func clickGaps(t *testing.T, path string) []int {
	t.Helper()
	return gapsOf(clicksIn(soundIn(t, path)))
}

func gapsOf(at []int) (gaps []int) {
	for i := 1; i < len(at); i++ {
		gaps = append(gaps, at[i]-at[i-1])
	}
	return gaps
}

// soundIn is what was recorded.
func soundIn(t *testing.T, path string) (x []float32) {
	t.Helper()
	f, err := audio.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for {
		var b audio.Block
		if err := f.Read(&b); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		x = append(x, b.Samples...)
	}
	if len(x) == 0 {
		t.Fatal("nothing was recorded")
	}
	return x
}

// clicksIn finds the clicks. The start and end signals, and words, are longer than
// one and are left out.
func clicksIn(x []float32) (at []int) {
	for i := 0; i < len(x); i++ {
		if math.Abs(float64(x[i])) < 0.003 {
			continue
		}
		end := min(i+audio.Rate/5, len(x))
		loud := 0
		var peak float64
		for _, v := range x[i:end] {
			peak = math.Max(peak, math.Abs(float64(v)))
		}
		first := i
		for k := i; k < end; k++ {
			if math.Abs(float64(x[k])) >= peak/2 {
				first = k
				break
			}
		}
		for k := first + audio.Rate/20; k < end; k++ {
			if math.Abs(float64(x[k])) > 0.003 {
				loud++
			}
		}
		if loud < 50 {
			at = append(at, first)
		}
		i = end
	}
	return at
}

var beatSamples = int(math.Round(60 / pathTarget * audio.Rate))

// evenClicks is the longest run of gaps that are a beat long, to 1 ms.
func evenClicks(gaps []int) (longest int) {
	run := 0
	for _, g := range gaps {
		run++
		if g < beatSamples-48 || g > beatSamples+48 {
			run = 0
		}
		longest = max(longest, run)
	}
	return longest
}

func lastMark(events []event.Event) (m event.Mark, ok bool) {
	for _, e := range events {
		if x, is := e.(event.Mark); is {
			m, ok = x, true
		}
	}
	return m, ok
}

// TestDevicesList: the virtual devices are listed with their rates.
func TestDevicesList(t *testing.T) {
	srv := virtual.Pulse(t)
	bin := buildProgram(t)
	out, err := srv.Command(bin, "devices", "--json").Output()
	if err != nil {
		t.Fatal(err)
	}
	var d struct {
		Name string  `json:"name"`
		Rate float64 `json:"rate"`
	}
	if err := json.Unmarshal(bytes.SplitN(out, []byte("\n"), 2)[0], &d); err != nil || d.Name == "" || d.Rate <= 0 {
		t.Errorf("first line %.200s: %+v, %v", out, d, err)
	}
}
